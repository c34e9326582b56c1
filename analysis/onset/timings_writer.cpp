#include "analysis/onset/timings_writer.hpp"

#include <array>
#include <charconv>

#include "harness/session/or_null.hpp"

namespace thumblight::onset {
namespace {

using Member = std::optional<Instant> PressTiming::*;

OrderedJson encode(const std::optional<Instant>& instant, bool is_light) {
  if (!instant) {
    return nullptr;
  }
  OrderedJson object = {{"t_s", instant->t_s},
                        {"u_s", or_null(instant->u_s)},
                        {"how", or_null(instant->how)},
                        {"frame", or_null(instant->frame)},
                        {"level", or_null(instant->level)}};
  if (is_light) {
    object["t50_s"] = or_null(instant->t50_s);
    object["t90_s"] = or_null(instant->t90_s);
  }
  if (instant->from_s && instant->to_s) {
    object["from_s"] = *instant->from_s;
    object["to_s"] = *instant->to_s;
  }
  return object;
}

OrderedJson encode(const PressTiming& press) {
  return {{"index", press.index},
          {"press", encode(press.press, false)},
          {"light", encode(press.light, true)},
          {"lamp", encode(press.lamp, false)},
          {"flags", press.flags}};
}

OrderedJson encode(const RecordingClock& clock) {
  return {{"source", or_null(clock.source)},         {"rate_hz", or_null(clock.rate_hz)},
          {"nominal_hz", or_null(clock.nominal_hz)}, {"why", or_null(clock.why)},
          {"log_rate", or_null(clock.log_rate)},     {"log_rate_u", or_null(clock.log_rate_u)}};
}

OrderedJson encode(const Region& region) {
  return {{"x", region.x}, {"y", region.y}, {"w", region.w}, {"h", region.h}};
}

OrderedJson encode(const CameraInfo& camera) {
  const auto region = [](const std::optional<Region>& known) {
    return known ? encode(*known) : OrderedJson(nullptr);
  };
  return {{"frames", camera.frames},
          {"dropped", camera.dropped},
          {"doubled", camera.doubled},
          {"odd_stamps", camera.odd_stamps},
          {"faults", camera.faults},
          {"steady", camera.steady},
          {"width", camera.width},
          {"height", camera.height},
          {"rotation_deg", camera.rotation_deg},
          {"codec", or_null(camera.codec)},
          {"transfer", or_null(camera.transfer)},
          {"full_range", camera.full_range},
          {"bit_depth", camera.bit_depth},
          {"exposure_s", or_null(camera.exposure_s)},
          {"exposure_u_s", or_null(camera.exposure_u_s)},
          {"exposure_source", or_null(camera.exposure_source)},
          {"readout_s", or_null(camera.readout_s)},
          {"readout_source", or_null(camera.readout_source)},
          {"bottom_row_first", camera.bottom_row_first},
          {"patch", region(camera.patch)},
          {"press", region(camera.press)},
          {"lamp", region(camera.lamp)}};
}

OrderedJson encode(const LightInfo& light) {
  return {{"threshold", light.threshold},
          {"rise_s", or_null(light.rise_s)},
          {"rise_u_s", or_null(light.rise_u_s)},
          {"rise_below_s", or_null(light.rise_below_s)},
          {"scan_s", or_null(light.scan_s)}};
}

OrderedJson encode(const SharedDoubt& doubt) {
  return {{"source", doubt.source}, {"on", doubt.on}, {"u_s", doubt.u_s}};
}

OrderedJson encode(const RecordingInfo& recording) {
  OrderedJson shared = OrderedJson::array();
  for (const SharedDoubt& doubt : recording.shared) {
    shared.push_back(encode(doubt));
  }
  return {{"file", or_null(recording.file)},
          {"kind", or_null(recording.kind)},
          {"clock", encode(recording.clock)},
          {"camera", recording.camera ? encode(*recording.camera) : OrderedJson(nullptr)},
          {"light", recording.light ? encode(*recording.light) : OrderedJson(nullptr)},
          {"shared", shared}};
}

OrderedJson encode(const Warning& warning) {
  return {{"code", warning.code}, {"text", warning.text}, {"remedy", or_null(warning.remedy)}};
}

std::string dump(const OrderedJson& json) {
  return json.dump(-1, ' ', false, OrderedJson::error_handler_t::replace);
}

template <typename Item>
std::string encode_list(const std::vector<Item>& items) {
  std::string text = "[";
  for (const Item& item : items) {
    text += (text.size() > 1 ? ",\n  " : "\n  ") + dump(encode(item));
  }
  return text + "]";
}

/// The shortest form that reads back as the same number, whatever the locale.
std::string shortest(double value) {
  std::array<char, 32> buffer{};
  const auto result = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value);
  return {buffer.data(), result.ptr};
}

struct Column {
  std::string heading;
  Member instant;
  bool uncertainty;
};

bool is_used(const Timings& timings, const Column& column) {
  return std::any_of(timings.presses.begin(), timings.presses.end(), [&](const auto& press) {
    const std::optional<Instant>& instant = press.*column.instant;
    return instant && (!column.uncertainty || instant->u_s);
  });
}

std::vector<Column> used_columns(const Timings& timings) {
  std::vector<Column> columns = {{"press_s", &PressTiming::press, false},
                                 {"light_s", &PressTiming::light, false}};
  const std::array<Column, 4> optional = {{{"lamp_s", &PressTiming::lamp, false},
                                           {"press_u_s", &PressTiming::press, true},
                                           {"light_u_s", &PressTiming::light, true},
                                           {"lamp_u_s", &PressTiming::lamp, true}}};
  for (const Column& column : optional) {
    if (is_used(timings, column)) {
      columns.push_back(column);
    }
  }
  return columns;
}

std::string cell(const PressTiming& press, const Column& column) {
  const std::optional<Instant>& instant = press.*column.instant;
  if (!instant || (column.uncertainty && !instant->u_s)) {
    return "";
  }
  return shortest(column.uncertainty ? *instant->u_s : instant->t_s);
}

}  // namespace

std::string encode_timings_json(const Timings& timings) {
  const OrderedJson head = {{"format", kTimingsFormat}, {"version", kTimingsVersion}};
  std::string text = dump(head);
  text.pop_back();
  text += ",\n \"recording\":" + dump(encode(timings.recording));
  text += ",\n \"presses\":" + encode_list(timings.presses);
  text += ",\n \"warnings\":" + encode_list(timings.warnings);
  return text + "}\n";
}

std::string encode_timings_table(const Timings& timings) {
  const std::vector<Column> columns = used_columns(timings);
  std::string text;
  for (const Column& column : columns) {
    text += (text.empty() ? "" : ",") + column.heading;
  }
  for (const PressTiming& press : timings.presses) {
    text += '\n';
    for (std::size_t k = 0; k < columns.size(); ++k) {
      text += (k == 0 ? "" : ",") + cell(press, columns[k]);
    }
  }
  return text + '\n';
}

}  // namespace thumblight::onset
