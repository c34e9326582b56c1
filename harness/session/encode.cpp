#include "harness/session/encode.hpp"

#include "harness/session/or_null.hpp"

namespace thumblight::session {
namespace {

OrderedJson intervals(const std::optional<Intervals>& value) {
  if (!value) {
    return nullptr;
  }
  return {{"median", value->median_ns}, {"min", value->min_ns}, {"max", value->max_ns}};
}

OrderedJson host(const Host& value) {
  return {{"platform", value.platform},         {"cpus", value.cpus},
          {"memory_mib", value.memory_mib},     {"sdl", value.sdl_version},
          {"video_driver", value.video_driver}, {"harness", value.harness_version},
          {"build", value.build_type}};
}

OrderedJson display(const Display& value) {
  return {{"index", value.index},
          {"name", value.name},
          {"width", value.width},
          {"height", value.height},
          {"mode_width", value.mode_width},
          {"mode_height", value.mode_height},
          {"refresh_hz", or_null(value.refresh_hz)},
          {"fullscreen", value.fullscreen},
          {"renderer", value.renderer},
          {"vsync", value.vsync},
          {"measured_interval_ns", intervals(value.measured_interval)}};
}

OrderedJson patch(const Patch& value) {
  return {{"x", value.x},
          {"y", value.y},
          {"w", value.w},
          {"h", value.h},
          {"bright", value.bright_level},
          {"dark", value.dark_level},
          {"hold_ns", value.hold_ns},
          {"rest_ns", value.rest_ns}};
}

OrderedJson input(const Input& value) {
  return {{"kind", value.kind},
          {"control", value.control},
          {"device", or_null(value.device)},
          {"bus", or_null(value.bus)},
          {"driver", or_null(value.driver)},
          {"guid", or_null(value.guid)},
          {"vendor", or_null(value.vendor)},
          {"product", or_null(value.product)},
          {"waiting", value.waiting}};
}

struct Encoder {
  OrderedJson operator()(const Header& r) const {
    return {{"record", "session"},     {"format", kFormat},
            {"version", kVersion},     {"started_utc", r.started_utc},
            {"clock", r.clock},        {"clock_resolution_ns", r.clock_resolution_ns},
            {"host", host(r.host)},    {"display", display(r.display)},
            {"patch", patch(r.patch)}, {"pacing", r.pacing},
            {"input", input(r.input)}, {"labels", r.labels}};
  }
  OrderedJson operator()(const Press& r) const {
    OrderedJson line = {{"record", "press"},
                        {"index", r.index},
                        {"arrival_ns", r.arrival_ns},
                        {"submit_ns", or_null(r.submit_ns)},
                        {"present_ns", or_null(r.present_ns)},
                        {"frame", or_null(r.frame)},
                        {"control", r.control},
                        {"flashed", r.flashed}};
    if (!r.withheld.empty()) {
      line["withheld"] = r.withheld;
    }
    return line;
  }
  OrderedJson operator()(const Dark& r) const {
    return {{"record", "dark"},
            {"index", r.index},
            {"submit_ns", r.submit_ns},
            {"present_ns", r.present_ns},
            {"frame", r.frame}};
  }
  OrderedJson operator()(const Lamp& r) const {
    return {{"record", "lamp"}, {"index", r.index}, {"on", r.on}, {"switched_ns", r.switched_ns}};
  }
  OrderedJson operator()(const Exchange& r) const {
    return {{"record", "exchange"},
            {"t1_ns", r.t1_ns},
            {"t2_s", r.t2_s},
            {"t3_s", r.t3_s},
            {"t4_ns", r.t4_ns}};
  }
  OrderedJson operator()(const Pace& r) const {
    return {{"record", "pace"},
            {"frames", r.frames},
            {"missed", or_null(r.missed)},
            {"interval_ns", intervals(r.interval)}};
  }
  OrderedJson operator()(const Device& r) const {
    return {
        {"record", "device"}, {"connected", r.connected}, {"at_ns", r.at_ns}, {"device", r.device}};
  }
  OrderedJson operator()(const Focus& r) const {
    return {{"record", "focus"}, {"gained", r.gained}, {"at_ns", r.at_ns}};
  }
  OrderedJson operator()(const End& r) const {
    return {{"record", "end"}, {"presses", r.presses}, {"reason", r.reason}};
  }
};

}  // namespace

std::string encode(const Record& record) {
  return std::visit(Encoder{}, record).dump(-1, ' ', false, OrderedJson::error_handler_t::replace);
}

}  // namespace thumblight::session
