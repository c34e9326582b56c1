#include <nlohmann/json.hpp>

#include "analysis/rehearsal/settings_json.hpp"
#include "analysis/rehearsal/truth.hpp"

namespace thumblight::rehearsal {

namespace {

using nlohmann::json;

void add(json& object, const std::string& name, const Moment& moment) {
  object[name + "_s"] = moment.recording_s;
  object[name + "_ns"] = moment.host_ns;
}

json edges_json(const PressTruth& press) {
  json list = json::array();
  for (const ContactEdge& edge : press.edges) {
    list.push_back({{"t_s", edge.at.recording_s}, {"closed", edge.closed}});
  }
  return list;
}

json flash_json(const Flash& flash) {
  json object = {{"frame", flash.frame}, {"dark_frame", flash.dark_frame}};
  add(object, "submit", flash.submit);
  add(object, "present", flash.present);
  add(object, "flip", flash.flip);
  add(object, "light", flash.light);
  add(object, "light_50", flash.light_50);
  add(object, "light_90", flash.light_90);
  add(object, "dark_submit", flash.dark_submit);
  add(object, "dark_present", flash.dark_present);
  add(object, "dark_flip", flash.dark_flip);
  add(object, "dark_light", flash.dark_light);
  return object;
}

json lamp_json(const HostLamp& lamp) {
  json object;
  add(object, "switched_on", lamp.switched_on);
  add(object, "lit", lamp.lit);
  add(object, "switched_off", lamp.switched_off);
  add(object, "unlit", lamp.unlit);
  return object;
}

json press_json(const PressTruth& press) {
  json object = {{"index", press.index}, {"edges", edges_json(press)}};
  add(object, "finger_start", press.finger_start);
  add(object, "press", press.contact);
  add(object, "finger_end", press.finger_end);
  add(object, "release", press.release);
  add(object, "arrival", press.arrival);
  object["flash"] = press.flash ? flash_json(*press.flash) : json(nullptr);
  object["host_lamp"] = press.lamp ? lamp_json(*press.lamp) : json(nullptr);
  return object;
}

json region_json(const Region& region) {
  return {{"x", region.x}, {"y", region.y}, {"w", region.w}, {"h", region.h}};
}

json region_json(const std::optional<Region>& region) {
  return region ? region_json(*region) : json(nullptr);
}

json regions_json(const Regions& regions) {
  return {{"screen", region_json(regions.screen)},
          {"patch", region_json(regions.patch)},
          {"controller", region_json(regions.controller)},
          {"finger", region_json(regions.finger)},
          {"lamp", region_json(regions.lamp)},
          {"host_lamp", region_json(regions.host_lamp)}};
}

json video_json(const VideoTruth& video) {
  json starts = json::array();
  json stamps = json::array();
  json doubled = json::array();
  for (std::size_t k = 0; k < video.frames.size(); ++k) {
    starts.push_back(video.frames[k].exposure_start_s);
    stamps.push_back(video.frames[k].stamp_ticks);
    if (video.frames[k].doubled) {
      doubled.push_back(k);
    }
  }
  return {{"width", video.width},
          {"height", video.height},
          {"rate_hz", video.rate_hz},
          {"exposure_s", video.exposure_s},
          {"readout_s", video.readout_s},
          {"ticks_per_s", video.ticks_per_s},
          {"exposure_start_s", starts},
          {"stamp_ticks", stamps},
          {"doubled_frames", doubled},
          {"dropped_s", video.dropped_s},
          {"regions_stored", regions_json(video.stored)},
          {"regions_upright", regions_json(video.upright)},
          {"sound_offset_s", video.sound_offset_s}};
}

json sensor_json(const SensorTruth& sensor) {
  return {{"rate_hz", sensor.rate_hz}, {"samples", sensor.samples}};
}

}  // namespace

std::string truth_text(const Truth& truth) {
  json presses = json::array();
  for (const PressTruth& press : truth.presses) {
    presses.push_back(press_json(press));
  }
  const HostSettings& host = truth.settings.host;
  const json object = {
      {"format", "thumblight-truth"},
      {"version", 1},
      {"recording", truth.recording},
      {"clocks",
       {{"theta0_ns", host.theta0_ns},
        {"theta1", host.theta1},
        {"theta2_per_s", host.theta2_per_s}}},
      {"refresh", {{"phase_s", truth.refresh.phase_s}, {"interval_s", truth.refresh.interval_s}}},
      {"patch_row", truth.patch_row},
      {"rise_s", truth.rise_s},
      {"scanout_s", truth.scanout_s},
      {"end_s", truth.end_s},
      {"presses", presses},
      {"video", truth.video ? video_json(*truth.video) : json(nullptr)},
      {"sensor", truth.sensor ? sensor_json(*truth.sensor) : json(nullptr)},
      {"settings", truth.settings}};
  return object.dump(1) + "\n";
}

}  // namespace thumblight::rehearsal
