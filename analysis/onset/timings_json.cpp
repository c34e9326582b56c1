#include <nlohmann/json.hpp>

#include "analysis/onset/json_node.hpp"
#include "analysis/onset/timings_forms.hpp"
#include "harness/session/error.hpp"

namespace thumblight::onset {
namespace {

std::optional<Instant> read_instant(const JsonNode& press, const char* key) {
  const std::optional<JsonNode> node = press.find(key);
  if (!node) {
    return std::nullopt;
  }
  const JsonNode object = node->object();
  Instant instant;
  instant.t_s = object.need("t_s").time_s();
  instant.u_s = object.maybe("u_s", &JsonNode::not_negative);
  instant.how = object.text_or_empty("how");
  instant.frame = object.maybe("frame", &JsonNode::whole);
  instant.t50_s = object.maybe("t50_s", &JsonNode::time_s);
  instant.t90_s = object.maybe("t90_s", &JsonNode::time_s);
  instant.from_s = object.maybe("from_s", &JsonNode::time_s);
  instant.to_s = object.maybe("to_s", &JsonNode::time_s);
  instant.level = object.maybe("level", &JsonNode::number);
  return instant;
}

PressTiming read_press(const JsonNode& node) {
  const JsonNode object = node.object();
  PressTiming press;
  press.index = object.need("index").whole();
  press.press = read_instant(object, "press");
  press.light = read_instant(object, "light");
  press.lamp = read_instant(object, "lamp");
  if (const std::optional<JsonNode> flags = object.find("flags")) {
    for (const JsonNode& flag : flags->items()) {
      press.flags.push_back(flag.text());
    }
  }
  return press;
}

std::vector<PressTiming> read_presses(const JsonNode& list) {
  std::vector<PressTiming> presses;
  const std::vector<JsonNode> nodes = list.items();
  for (const JsonNode& node : nodes) {
    presses.push_back(read_press(node));
    if (presses.size() > 1 && presses.back().index <= presses[presses.size() - 2].index) {
      node.need("index").fail("must be greater than the one before it");
    }
  }
  if (const std::optional<Disorder> disorder = find_disorder(presses)) {
    nodes[disorder->at]
        .need(disorder->what)
        .need("t_s")
        .fail("is earlier than the one before it; presses must be in order of time");
  }
  return presses;
}

RecordingClock read_clock(const JsonNode& clock) {
  return {clock.text_or_empty("source"),
          clock.maybe("rate_hz", &JsonNode::positive),
          clock.maybe("nominal_hz", &JsonNode::positive),
          clock.text_or_empty("why"),
          clock.maybe("log_rate", &JsonNode::positive),
          clock.maybe("log_rate_u", &JsonNode::not_negative)};
}

std::optional<Region> read_region(const JsonNode& camera, const char* key) {
  const std::optional<JsonNode> node = camera.find(key);
  if (!node) {
    return std::nullopt;
  }
  return Region{node->need("x").number(), node->need("y").number(), node->need("w").not_negative(),
                node->need("h").not_negative()};
}

std::int64_t whole_or_none(const JsonNode& object, const char* key) {
  return object.maybe(key, &JsonNode::whole).value_or(0);
}

int count_or_none(const JsonNode& object, const char* key) {
  return object.maybe(key, &JsonNode::count).value_or(0);
}

CameraInfo read_camera(const JsonNode& object) {
  CameraInfo camera;
  camera.frames = whole_or_none(object, "frames");
  camera.dropped = whole_or_none(object, "dropped");
  camera.doubled = whole_or_none(object, "doubled");
  camera.odd_stamps = whole_or_none(object, "odd_stamps");
  camera.faults = whole_or_none(object, "faults");
  camera.steady = object.maybe("steady", &JsonNode::truth).value_or(true);
  camera.width = count_or_none(object, "width");
  camera.height = count_or_none(object, "height");
  camera.rotation_deg = count_or_none(object, "rotation_deg");
  camera.codec = object.text_or_empty("codec");
  camera.transfer = object.text_or_empty("transfer");
  camera.full_range = object.maybe("full_range", &JsonNode::truth).value_or(false);
  camera.bit_depth = object.maybe("bit_depth", &JsonNode::count).value_or(8);
  camera.exposure_s = object.maybe("exposure_s", &JsonNode::not_negative);
  camera.exposure_u_s = object.maybe("exposure_u_s", &JsonNode::not_negative);
  camera.exposure_source = object.text_or_empty("exposure_source");
  camera.readout_s = object.maybe("readout_s", &JsonNode::number);
  camera.readout_source = object.text_or_empty("readout_source");
  camera.bottom_row_first =
      object.maybe("bottom_row_first", &JsonNode::truth).value_or(camera.bottom_row_first);
  camera.patch = read_region(object, "patch");
  camera.press = read_region(object, "press");
  camera.lamp = read_region(object, "lamp");
  return camera;
}

LightInfo read_light(const JsonNode& object) {
  LightInfo light;
  light.threshold = object.maybe("threshold", &JsonNode::positive).value_or(light.threshold);
  light.rise_s = object.maybe("rise_s", &JsonNode::not_negative);
  light.rise_u_s = object.maybe("rise_u_s", &JsonNode::not_negative);
  light.rise_below_s = object.maybe("rise_below_s", &JsonNode::not_negative);
  light.scan_s = object.maybe("scan_s", &JsonNode::number);
  return light;
}

std::vector<SharedDoubt> read_shared(const JsonNode& list) {
  std::vector<SharedDoubt> shared;
  for (const JsonNode& node : list.items()) {
    const JsonNode object = node.object();
    shared.push_back({object.need("source").text(), object.need("on").text(),
                      object.need("u_s").not_negative()});
  }
  return shared;
}

RecordingInfo read_recording(const JsonNode& object) {
  RecordingInfo recording;
  recording.file = object.text_or_empty("file");
  recording.kind = object.text_or_empty("kind");
  if (const std::optional<JsonNode> clock = object.find("clock")) {
    recording.clock = read_clock(clock->object());
  }
  if (const std::optional<JsonNode> camera = object.find("camera")) {
    recording.camera = read_camera(camera->object());
  }
  if (const std::optional<JsonNode> light = object.find("light")) {
    recording.light = read_light(light->object());
  }
  if (const std::optional<JsonNode> shared = object.find("shared")) {
    recording.shared = read_shared(*shared);
  }
  return recording;
}

Warning read_warning(const JsonNode& node) {
  const JsonNode object = node.object();
  return {object.need("code").text(), object.text_or_empty("text"), object.text_or_empty("remedy")};
}

void check_format(const JsonNode& root, const std::string& name) {
  if (root.need("format").text() != kTimingsFormat) {
    root.need("format").fail(std::string("must be '") + kTimingsFormat +
                             "'; this file holds something else");
  }
  const std::int64_t version = root.need("version").whole();
  if (version > kTimingsVersion) {
    throw Error(name + ": the timings have version " + std::to_string(version) +
                " and this program reads up to version " + std::to_string(kTimingsVersion) +
                "; update it to read them");
  }
}

}  // namespace

Timings read_timings_json(std::string_view text, const std::string& name) {
  const nlohmann::json json = parse_json(text, name);
  const JsonNode root(json, name, "");
  check_format(root, name);
  Timings timings;
  if (const std::optional<JsonNode> recording = root.find("recording")) {
    timings.recording = read_recording(recording->object());
  }
  timings.presses = read_presses(root.need("presses"));
  if (const std::optional<JsonNode> warnings = root.find("warnings")) {
    for (const JsonNode& warning : warnings->items()) {
      timings.warnings.push_back(read_warning(warning));
    }
  }
  return timings;
}

}  // namespace thumblight::onset
