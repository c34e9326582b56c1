#include "analysis/onset/setup.hpp"

#include <cmath>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "analysis/onset/json_node.hpp"
#include "harness/session/error.hpp"

namespace thumblight::onset {
namespace {

std::string load(const std::filesystem::path& file) {
  std::ifstream input(file, std::ios::binary);
  std::string text{std::istreambuf_iterator<char>(input), std::istreambuf_iterator<char>()};
  if (!input || std::filesystem::is_directory(file)) {
    throw Error(file.string() + ": cannot be read; check its rights");
  }
  return text;
}

std::optional<double> number(const JsonNode& object, const char* key, double least, double most) {
  const std::optional<JsonNode> found = object.find(key);
  return found ? std::make_optional(found->number_within(least, most)) : std::nullopt;
}

std::optional<Region> region(const JsonNode& regions, const char* key) {
  const std::optional<JsonNode> found = regions.find(key);
  if (!found) {
    return std::nullopt;
  }
  constexpr double kMost = 100'000;
  const JsonNode object = found->object();
  return Region{object.need("x").number_within(0, kMost), object.need("y").number_within(0, kMost),
                object.need("w").number_within(1, kMost), object.need("h").number_within(1, kMost)};
}

std::optional<int> channel(const JsonNode& channels, const char* key) {
  const std::optional<double> found = number(channels, key, 0, 63);
  return found ? std::optional<int>(static_cast<int>(std::lround(*found))) : std::nullopt;
}

std::string one_of(const JsonNode& object, const char* key,
                   std::initializer_list<const char*> words) {
  const std::optional<JsonNode> found = object.find(key);
  if (!found) {
    return "";
  }
  const std::string text = found->text();
  std::string known;
  for (const char* word : words) {
    if (text == word) {
      return text;
    }
    known += std::string(known.empty() ? "" : ", ") + word;
  }
  found->fail("must be one of " + known);
}

void read_regions(const JsonNode& regions, Setup& setup) {
  setup.patch = region(regions, "patch");
  setup.lamp = region(regions, "lamp");
  setup.finger = region(regions, "finger");
  setup.host_lamp = region(regions, "host_lamp");
  setup.change = region(regions, "change");
}

void read_sound(const JsonNode& sound, Setup& setup) {
  setup.sound_distance_m = number(sound, "distance_m", 0, 1000);
  setup.sound_offset_s = number(sound, "offset_s", -60, 60).value_or(0);
  setup.sound_offset_u_s = number(sound, "offset_u_s", 0, 60);
}

void read_camera(const JsonNode& all, Setup& setup) {
  setup.recording = all.text_or_empty("recording");
  setup.capture_rate_hz = number(all, "capture_rate_hz", 1, 1e6);
  setup.readout_s = number(all, "readout_s", 0, 1);
  setup.bottom_row_first = one_of(all, "readout_from", {"top", "bottom"}) == "bottom";
  setup.exposure_share = number(all, "exposure_share", 0.001, 1);
  setup.threshold = number(all, "threshold", 0.01, 0.99).value_or(0.1);
  setup.press_from = one_of(all, "press_from", {"lamp", "finger", "sound", "contact"});
  setup.light_from = one_of(all, "light_from", {"step", "change"});
}

void read_lamp_lag(const JsonNode& lag, Setup& setup) {
  setup.lamp_lag_min_s = lag.need("min").number_within(0, 1);
  setup.lamp_lag_max_s = lag.need("max").number_within(*setup.lamp_lag_min_s, 1);
}

}  // namespace

Setup read_setup(const std::filesystem::path& file) {
  Setup setup;
  if (!std::filesystem::exists(file)) {
    return setup;
  }
  const nlohmann::json document = parse_json(load(file), file.string());
  const JsonNode all = JsonNode(document, file.string(), "").object();
  read_camera(all, setup);
  if (const std::optional<JsonNode> regions = all.find("regions")) {
    read_regions(regions->object(), setup);
  }
  if (const std::optional<JsonNode> sound = all.find("sound")) {
    read_sound(sound->object(), setup);
  }
  if (const std::optional<JsonNode> channels = all.find("channels")) {
    setup.light_channel = channel(channels->object(), "light");
    setup.press_channel = channel(channels->object(), "press");
  }
  if (const std::optional<JsonNode> lag = all.find("lamp_lag_s")) {
    read_lamp_lag(lag->object(), setup);
  }
  return setup;
}

}  // namespace thumblight::onset
