#include "analysis/onset/setup.hpp"

#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>

#include "harness/session/error.hpp"

namespace thumblight::onset {
namespace {

using Json = nlohmann::json;

class Reader {
 public:
  Reader(Json object, std::string place) : object_(std::move(object)), place_(std::move(place)) {
    if (!object_.is_object()) {
      throw Error(place_ + " must be a JSON object");
    }
  }

  std::optional<double> number(const char* key, double least, double most) const {
    const Json* value = find(key);
    if (value == nullptr) {
      return std::nullopt;
    }
    if (!value->is_number() || value->get<double>() < least || value->get<double>() > most) {
      throw Error(place_ + ": the key '" + key + "' must be a number from " + trimmed(least) +
                  " to " + trimmed(most));
    }
    return value->get<double>();
  }

  std::optional<std::string> text(const char* key) const {
    const Json* value = find(key);
    if (value == nullptr) {
      return std::nullopt;
    }
    if (!value->is_string()) {
      throw Error(place_ + ": the key '" + key + "' must be a text");
    }
    return value->get<std::string>();
  }

  std::optional<Reader> object(const char* key) const {
    const Json* value = find(key);
    if (value == nullptr) {
      return std::nullopt;
    }
    return Reader(*value, place_ + ": the key '" + key + "'");
  }

  [[noreturn]] void fail(const char* key, const std::string& what) const {
    throw Error(place_ + ": the key '" + key + "' " + what);
  }

 private:
  const Json* find(const char* key) const {
    const auto found = object_.find(key);
    return found == object_.end() || found->is_null() ? nullptr : &*found;
  }

  static std::string trimmed(double value) { return Json(value).dump(); }

  Json object_;
  std::string place_;
};

std::optional<Region> region(const std::optional<Reader>& regions, const char* key) {
  const std::optional<Reader> found = regions ? regions->object(key) : std::nullopt;
  if (!found) {
    return std::nullopt;
  }
  constexpr double kMost = 100'000;
  Region region;
  region.x = found->number("x", 0, kMost).value_or(0);
  region.y = found->number("y", 0, kMost).value_or(0);
  region.w = found->number("w", 1, kMost).value_or(0);
  region.h = found->number("h", 1, kMost).value_or(0);
  if (region.w < 1 || region.h < 1) {
    found->fail("w", "and the key 'h' are wanted for a region");
  }
  return region;
}

std::optional<int> whole(const std::optional<double>& value) {
  return value ? std::optional<int>(static_cast<int>(std::lround(*value))) : std::nullopt;
}

Json parsed(const std::filesystem::path& file) {
  std::ifstream input(file);
  Json object = Json::parse(input, nullptr, false);
  if (object.is_discarded()) {
    throw Error(file.string() + ": it is not valid JSON; mend it or remove it");
  }
  return object;
}

void read_sound(const Reader& all, Setup& setup) {
  if (const std::optional<Reader> sound = all.object("sound")) {
    setup.sound_distance_m = sound->number("distance_m", 0, 1000);
    setup.sound_offset_s = sound->number("offset_s", -60, 60).value_or(0);
    setup.sound_offset_u_s = sound->number("offset_u_s", 0, 60);
  }
  if (const std::optional<Reader> channels = all.object("channels")) {
    setup.light_channel = whole(channels->number("light", 0, 63));
    setup.press_channel = whole(channels->number("press", 0, 63));
  }
}

}  // namespace

Setup read_setup(const std::filesystem::path& file) {
  Setup setup;
  if (!std::filesystem::exists(file)) {
    return setup;
  }
  const Reader all(parsed(file), file.string());
  setup.capture_rate_hz = all.number("capture_rate_hz", 1, 1e6);
  setup.readout_s = all.number("readout_s", 0, 1);
  setup.bottom_row_first = all.text("readout_from").value_or("top") == "bottom";
  setup.exposure_share = all.number("exposure_share", 0.001, 1);
  setup.threshold = all.number("threshold", 0.01, 0.99).value_or(0.1);
  setup.press_from = all.text("press_from").value_or("");
  if (!setup.press_from.empty() && setup.press_from != "lamp" && setup.press_from != "finger" &&
      setup.press_from != "sound" && setup.press_from != "contact") {
    all.fail("press_from", "must be lamp, finger, sound or contact");
  }
  const std::optional<Reader> regions = all.object("regions");
  setup.patch = region(regions, "patch");
  setup.lamp = region(regions, "lamp");
  setup.finger = region(regions, "finger");
  setup.host_lamp = region(regions, "host_lamp");
  read_sound(all, setup);
  return setup;
}

}  // namespace thumblight::onset
