#include "analysis/rehearsal/setup.hpp"

#include <nlohmann/json.hpp>

namespace thumblight::rehearsal {

namespace {

using nlohmann::json;

json region_json(const Region& region) {
  return {{"x", region.x}, {"y", region.y}, {"w", region.w}, {"h", region.h}};
}

json regions_json(const Regions& regions, bool game) {
  json object = {{game ? "change" : "patch", region_json(regions.patch)},
                 {"finger", region_json(regions.finger)}};
  if (regions.lamp) {
    object["lamp"] = region_json(*regions.lamp);
  }
  if (regions.host_lamp) {
    object["host_lamp"] = region_json(*regions.host_lamp);
  }
  return object;
}

}  // namespace

std::string setup_text(const Truth& truth) {
  const Settings& settings = truth.settings;
  json object = {{"format", "thumblight-setup"},
                 {"version", 1},
                 {"recording", truth.recording},
                 {"labels", settings.setup.labels}};
  const bool game = settings.game.kind != GameKind::kNone;
  if (truth.video && settings.setup.capture_rate) {
    object["capture_rate_hz"] = settings.camera.nominal_hz;
  }
  if (truth.video && settings.setup.readout) {
    object["readout_s"] = settings.camera.readout_s;
    const bool top_first = settings.camera.row_order == RowOrder::kTopFirst;
    object["readout_from"] = top_first ? "top" : "bottom";
  }
  if (truth.video && settings.setup.regions) {
    object["regions"] = regions_json(truth.video->upright, game);
  }
  if (game) {
    object["light_from"] = "change";
  }
  if (truth.video && settings.file.sound != SoundCodec::kNone && settings.setup.sound) {
    object["sound"] = {{"distance_m", settings.file.air_distance_m},
                       {"offset_s", settings.file.sound_offset_s}};
  }
  if (settings.recording == RecordingKind::kSoundFile && settings.setup.channels) {
    const int light = settings.sensor.light_first ? 0 : 1;
    object["channels"] = {{"light", light}, {"press", 1 - light}};
  }
  if (settings.lamp.on_host && settings.setup.lamp_lag) {
    object["lamp_lag_s"] = {{"min", settings.lamp.host_lag_min_s},
                            {"max", settings.lamp.host_lag_max_s}};
  }
  return object.dump(2) + "\n";
}

}  // namespace thumblight::rehearsal
