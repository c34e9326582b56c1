#include "analysis/rehearsal/settings.hpp"

#include <cmath>

#include "analysis/rehearsal/presets.hpp"
#include "analysis/rehearsal/settings_json.hpp"

namespace thumblight::rehearsal {

using nlohmann::json;

NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(PressSettings, count, first_s, gap_min_s, gap_max_s,
                                                contact_hold_s, bounces, bounce_s, repeat_share,
                                                repeat_after_s, finger_lead_min_s,
                                                finger_lead_max_s, finger_follow_min_s,
                                                finger_follow_max_s)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(DeliverySettings, model, base_s, interval_s, shape,
                                                scale_s, radio_interval_s, radio_loss)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(HostSettings, theta0_ns, theta1, theta2_per_s,
                                                pacing, vsync, work_min_s, work_max_s, return_min_s,
                                                return_max_s, guard_s, hold_s, rest_s)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(DisplaySettings, width, height, refresh_hz,
                                                scanout_share, scan, queued_refreshes, processing_s,
                                                panel, rise, rise_s, fall_s, pwm_hz, pwm_duty,
                                                phosphor_s, bright, dark, surround, patch_x,
                                                patch_y, patch_w, patch_h)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(GameSettings, kind, ground, ground_contrast,
                                                scroll_per_s, actor, actor_x, actor_y, actor_w,
                                                actor_h, jump_height, jump_s, jump_ease_s,
                                                idle_height, idle_hz, pose_hz, blink_hz, title,
                                                whole_screen)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(LampSettings, on_button, level, rise_s, on_host,
                                                host_level, host_lag_min_s, host_lag_max_s)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(SceneSettings, layout, ambient, flicker, flicker_hz,
                                                texture, spill, finger, hand_sway, shake,
                                                auto_exposure, auto_exposure_period_s)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(CameraSettings, width, height, nominal_hz,
                                                rate_error, interval_jitter, rate_wander,
                                                rate_wander_period_s, dropped, doubled,
                                                exposure_share, readout_s, row_order, rotation_deg,
                                                curve, bits, range, hlg_white, pq_white_cd_m2,
                                                read_noise, full_well, lead_out_s)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(FileSettings, container, codec, quality, b_frames,
                                                colour_tags, ticks_per_s, stamps, playback_hz,
                                                capture_rate_metadata, sound, sound_rate_hz,
                                                sound_offset_s, air_distance_m, sound_noise)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(SensorSettings, file, rate_hz, bits, light_first,
                                                invert_light, invert_contact, ac_coupling_s,
                                                light_filter_s, noise, spot_row, spot_height, level,
                                                interval_jitter, host_stamps, exchanges,
                                                exchange_min_s, exchange_mean_s)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE_WITH_DEFAULT(SetupSettings, capture_rate, readout, regions,
                                                sound, channels, lamp_lag, labels)

namespace {

void read(const json& all, Settings& settings) {
  settings.seed = all.at("seed").get<std::uint64_t>();
  all.at("recording").get_to(settings.recording);
  all.at("log").get_to(settings.log);
  all.at("press").get_to(settings.press);
  all.at("delivery").get_to(settings.delivery);
  all.at("host").get_to(settings.host);
  all.at("display").get_to(settings.display);
  all.at("game").get_to(settings.game);
  all.at("lamp").get_to(settings.lamp);
  all.at("scene").get_to(settings.scene);
  all.at("camera").get_to(settings.camera);
  all.at("file").get_to(settings.file);
  all.at("sensor").get_to(settings.sensor);
  all.at("setup").get_to(settings.setup);
}

/// A whole number may stand for a fraction, not the other way round.
bool same_type(const json& given, const json& known) {
  if (known.is_number_float()) {
    return given.is_number();
  }
  if (known.is_number()) {
    return given.is_number_integer();
  }
  return given.type() == known.type();
}

/// A misspelt setting would otherwise be a setting that silently does nothing.
void refuse_unknown_keys(const json& given, const json& known, const std::string& path) {
  for (const auto& [key, value] : given.items()) {
    const std::string here = path.empty() ? key : path + "." + key;
    if (!known.contains(key)) {
      throw Error("there is no setting \"" + here + "\"");
    }
    if (!same_type(value, known.at(key))) {
      throw Error("the setting \"" + here + "\" has the wrong type");
    }
    if (value.is_object() && here != "setup.labels") {
      refuse_unknown_keys(value, known.at(key), here);
    }
  }
}

Settings settings_from(json given) {
  if (!given.is_object()) {
    throw Error("the settings must be one JSON object");
  }
  Settings base;
  if (given.contains("preset")) {
    base = preset(given.at("preset").get<std::string>());
    given.erase("preset");
  }
  json all = base;
  refuse_unknown_keys(given, all, "");
  all.merge_patch(given);
  Settings settings;
  read(all, settings);
  return settings;
}

void within(const char* setting, double value, double low, double high) {
  if (!(value >= low && value <= high)) {
    throw Error(std::string("the setting \"") + setting + "\" must lie from " + json(low).dump() +
                " to " + json(high).dump());
  }
}

void ordered(const char* lower, const char* upper, double low, double high) {
  if (!(low <= high)) {
    throw Error(std::string("the setting \"") + lower + "\" must not exceed \"" + upper + "\"");
  }
}

void check_press(const PressSettings& press) {
  within("press.count", static_cast<double>(press.count), 0, 1e6);
  within("press.first_s", press.first_s, 0.05, 3600);
  within("press.gap_min_s", press.gap_min_s, 0.35, 3600);  // at most three flashes in any second
  within("press.gap_max_s", press.gap_max_s, 0.35, 3600);
  ordered("press.gap_min_s", "press.gap_max_s", press.gap_min_s, press.gap_max_s);
  within("press.contact_hold_s", press.contact_hold_s, 0.005, press.gap_min_s / 2);
  within("press.bounces", static_cast<double>(press.bounces), 0, 20);
  within("press.bounce_s", press.bounce_s, 0, press.contact_hold_s / 4);
  within("press.repeat_share", press.repeat_share, 0, 1);
  within("press.repeat_after_s", press.repeat_after_s, 0.02, press.gap_min_s / 2);
  within("press.finger_lead_min_s", press.finger_lead_min_s, 0, 0.04);
  within("press.finger_lead_max_s", press.finger_lead_max_s, 0, 0.04);
  within("press.finger_follow_min_s", press.finger_follow_min_s, 0, 0.04);
  within("press.finger_follow_max_s", press.finger_follow_max_s, 0, 0.04);
  ordered("press.finger_lead_min_s", "press.finger_lead_max_s", press.finger_lead_min_s,
          press.finger_lead_max_s);
  ordered("press.finger_follow_min_s", "press.finger_follow_max_s", press.finger_follow_min_s,
          press.finger_follow_max_s);
}

void check_delivery(const DeliverySettings& delivery) {
  within("delivery.base_s", delivery.base_s, 0, 1);
  within("delivery.interval_s", delivery.interval_s, 0.0001, 1);
  within("delivery.shape", delivery.shape, 0.05, 1000);
  within("delivery.scale_s", delivery.scale_s, 0, 1);
  within("delivery.radio_interval_s", delivery.radio_interval_s, 0.0001, 1);
  within("delivery.radio_loss", delivery.radio_loss, 0, 0.9);
}

void check_host(const HostSettings& host) {
  within("host.theta1", host.theta1, -0.01, 0.01);
  within("host.theta2_per_s", host.theta2_per_s, -1e-5, 1e-5);
  within("host.work_min_s", host.work_min_s, 0, 0.1);
  within("host.return_min_s", host.return_min_s, 0, 0.1);
  ordered("host.work_min_s", "host.work_max_s", host.work_min_s, host.work_max_s);
  ordered("host.return_min_s", "host.return_max_s", host.return_min_s, host.return_max_s);
  within("host.guard_s", host.guard_s, 0, 0.1);
  within("host.hold_s", host.hold_s, 0.02, 10);
  within("host.rest_s", host.rest_s, 0, 10);
}

void check_display(const DisplaySettings& display) {
  within("display.width", display.width, 16, 16384);
  within("display.height", display.height, 16, 16384);
  within("display.refresh_hz", display.refresh_hz, 10, 1000);
  within("display.scanout_share", display.scanout_share, 0, 1);
  within("display.queued_refreshes", static_cast<double>(display.queued_refreshes), 0, 100);
  within("display.processing_s", display.processing_s, 0, 1);
  within("display.rise_s", display.rise_s, 0, 0.1);
  within("display.fall_s", display.fall_s, 0, 0.1);
  within("display.pwm_hz", display.pwm_hz, 0, 50'000);
  within("display.pwm_duty", display.pwm_duty, 0.01, 1);
  within("display.phosphor_s", display.phosphor_s, 0.00001, 0.1);
  within("display.bright", display.bright, 0, 10);
  within("display.dark", display.dark, 0, 10);
  within("display.surround", display.surround, 0, 10);
  within("display.patch_x", display.patch_x, 0, 1);
  within("display.patch_y", display.patch_y, 0, 1);
  within("display.patch_w", display.patch_w, 0.001, 1 - display.patch_x);
  within("display.patch_h", display.patch_h, 0.001, 1 - display.patch_y);
}

void check_game(const Settings& settings) {
  const GameSettings& game = settings.game;
  within("game.ground", game.ground, 0, 10);
  within("game.ground_contrast", game.ground_contrast, 0, 1);
  within("game.scroll_per_s", game.scroll_per_s, -5, 5);
  within("game.actor", game.actor, 0, 10);
  within("game.actor_x", game.actor_x, 0, 1);
  within("game.actor_y", game.actor_y, 0, 1);
  within("game.actor_w", game.actor_w, 0.001, 1 - game.actor_x);
  within("game.actor_h", game.actor_h, 0.001, 1 - game.actor_y);
  within("game.jump_height", game.jump_height, 0, 1);
  within("game.jump_s", game.jump_s, 0.05, 10);
  within("game.jump_ease_s", game.jump_ease_s, 0, game.jump_s);
  within("game.idle_height", game.idle_height, 0, 1);
  within("game.idle_hz", game.idle_hz, 0, 60);
  within("game.pose_hz", game.pose_hz, 0, 60);
  within("game.blink_hz", game.blink_hz, 0, 60);
  within("game.title", game.title, 0, 10);
  if (game.kind == GameKind::kNone) {
    return;
  }
  const DisplaySettings& display = settings.display;
  const bool across = display.scan == ScanDirection::kRight || display.scan == ScanDirection::kLeft;
  if (!settings.host.vsync || display.panel != PanelKind::kSteady || display.pwm_hz > 0 || across ||
      settings.camera.rotation_deg != 0 || settings.scene.shake > 0) {
    throw Error(
        "a game is rehearsed with vsync, on a steady panel that scans up or down, by a camera that "
        "stands upright and still; mend these settings or set \"game.kind\" to \"none\"");
  }
  if (settings.recording != RecordingKind::kVideo) {
    throw Error("a game is seen by a camera; set \"recording\" to \"video\"");
  }
  if (settings.log) {
    throw Error("a game keeps no log; set \"log\" to false");
  }
}

void check_lamp(const LampSettings& lamp) {
  within("lamp.level", lamp.level, 0, 10);
  within("lamp.rise_s", lamp.rise_s, 0, 0.1);
  within("lamp.host_level", lamp.host_level, 0, 10);
  within("lamp.host_lag_min_s", lamp.host_lag_min_s, 0, 1);
  ordered("lamp.host_lag_min_s", "lamp.host_lag_max_s", lamp.host_lag_min_s, lamp.host_lag_max_s);
}

void check_scene(const SceneSettings& scene) {
  within("scene.ambient", scene.ambient, 0, 10);
  within("scene.flicker", scene.flicker, 0, 1);
  within("scene.flicker_hz", scene.flicker_hz, 1, 100'000);
  within("scene.texture", scene.texture, 0, 1);
  within("scene.spill", scene.spill, 0, 1);
  within("scene.hand_sway", scene.hand_sway, 0, 0.1);
  within("scene.shake", scene.shake, 0, 0.05);
  within("scene.auto_exposure", scene.auto_exposure, 0, 0.9);
  within("scene.auto_exposure_period_s", scene.auto_exposure_period_s, 0.01, 1e6);
}

void check_camera(const CameraSettings& camera) {
  within("camera.width", camera.width, 64, 8192);
  within("camera.height", camera.height, 64, 8192);
  if (camera.width % 2 != 0 || camera.height % 2 != 0) {
    throw Error("the settings \"camera.width\" and \"camera.height\" must be even");
  }
  within("camera.nominal_hz", camera.nominal_hz, 1, 10'000);
  within("camera.rate_error", camera.rate_error, -0.5, 0.5);
  within("camera.interval_jitter", camera.interval_jitter, 0, 0.45);
  within("camera.rate_wander", camera.rate_wander, 0, 0.5);
  within("camera.rate_wander_period_s", camera.rate_wander_period_s, 0.1, 1e6);
  within("camera.dropped", camera.dropped, 0, 0.9);
  within("camera.doubled", camera.doubled, 0, 0.9);
  within("camera.exposure_share", camera.exposure_share, 0.001, 1);
  const double shortest =
      (1.0 - 2.0 * camera.interval_jitter - camera.rate_wander) / (1.0 + camera.rate_error);
  if (camera.exposure_share > shortest + 0.01) {  // a hair over is a shutter that never closes
    throw Error(
        "the setting \"camera.exposure_share\" is longer than the shortest interval between "
        "two images; make it or \"camera.interval_jitter\" smaller");
  }
  within("camera.readout_s", camera.readout_s, 0, 1);
  if (camera.rotation_deg % 90 != 0 || camera.rotation_deg < 0 || camera.rotation_deg > 270) {
    throw Error("the setting \"camera.rotation_deg\" must be 0, 90, 180 or 270");
  }
  if (camera.bits != 8 && camera.bits != 10) {
    throw Error("the setting \"camera.bits\" must be 8 or 10");
  }
  within("camera.hlg_white", camera.hlg_white, 0.001, 1);
  within("camera.pq_white_cd_m2", camera.pq_white_cd_m2, 1, 10'000);
  within("camera.read_noise", camera.read_noise, 0, 1);
  within("camera.full_well", camera.full_well, 0, 1e9);
  within("camera.lead_out_s", camera.lead_out_s, 0, 60);
}

bool is_iso_media(Container container) {
  return container == Container::kMp4 || container == Container::kMov;
}

void check_file(const Settings& settings) {
  const FileSettings& file = settings.file;
  within("file.quality", file.quality, 0, 63);
  within("file.ticks_per_s", file.ticks_per_s, 1000, 10'000'000);
  within("file.b_frames", file.b_frames, 0, 8);
  within("file.playback_hz", file.playback_hz, 1, 1000);
  within("file.sound_rate_hz", file.sound_rate_hz, 8000, 192'000);
  within("file.sound_offset_s", file.sound_offset_s, -1, 1);
  within("file.air_distance_m", file.air_distance_m, 0, 100);
  within("file.sound_noise", file.sound_noise, 0, 1);
  if (settings.camera.rotation_deg != 0 && !is_iso_media(file.container)) {
    throw Error("only MP4 and MOV carry \"camera.rotation_deg\"; choose one of them");
  }
  if (file.capture_rate_metadata && !is_iso_media(file.container)) {
    throw Error("only MP4 and MOV carry \"file.capture_rate_metadata\"; choose one of them");
  }
  if (file.container == Container::kAvi && file.stamps == Stamps::kReal) {
    throw Error("AVI has no time stamps; set \"file.stamps\" to \"nominal\" or \"conformed\"");
  }
  if (settings.camera.bits == 10 &&
      (file.codec == VideoCodec::kMjpeg || file.codec == VideoCodec::kH264)) {
    throw Error("10 bits are written as HEVC, VP9, AV1 or FFV1; change \"file.codec\"");
  }
}

void check_sensor(const Settings& settings) {
  const SensorSettings& sensor = settings.sensor;
  within("sensor.rate_hz", sensor.rate_hz, 10, 10'000'000);
  if (settings.recording == RecordingKind::kSoundFile) {
    if (sensor.bits != 16 && sensor.bits != 24) {
      throw Error("the setting \"sensor.bits\" must be 16 or 24 for a sound file");
    }
    if (sensor.rate_hz != std::floor(sensor.rate_hz)) {
      throw Error("the setting \"sensor.rate_hz\" must be whole for a sound file");
    }
    if (sensor.host_stamps) {
      throw Error("a sound file has no stamps; \"sensor.host_stamps\" is for tables");
    }
  }
  within("sensor.bits", sensor.bits, 1, 24);
  within("sensor.ac_coupling_s", sensor.ac_coupling_s, 0, 1000);
  within("sensor.light_filter_s", sensor.light_filter_s, 0, 1);
  within("sensor.noise", sensor.noise, 0, 1);
  within("sensor.spot_row", sensor.spot_row, 0, 1);
  within("sensor.spot_height", sensor.spot_height, 0, 1);
  within("sensor.level", sensor.level, 0, 1);
  within("sensor.interval_jitter", sensor.interval_jitter, 0, 0.45);
  within("sensor.exchanges", static_cast<double>(sensor.exchanges), 0, 1e6);
  within("sensor.exchange_min_s", sensor.exchange_min_s, 0, 1);
  within("sensor.exchange_mean_s", sensor.exchange_mean_s, 0, 1);
}

}  // namespace

void to_json(json& object, const Settings& settings) {
  object = {
      {"seed", settings.seed},       {"recording", settings.recording}, {"log", settings.log},
      {"press", settings.press},     {"delivery", settings.delivery},   {"host", settings.host},
      {"display", settings.display}, {"game", settings.game},           {"lamp", settings.lamp},
      {"scene", settings.scene},     {"camera", settings.camera},       {"file", settings.file},
      {"sensor", settings.sensor},   {"setup", settings.setup}};
}

void check(const Settings& settings) {
  check_press(settings.press);
  check_delivery(settings.delivery);
  check_host(settings.host);
  check_display(settings.display);
  check_game(settings);
  check_lamp(settings.lamp);
  check_scene(settings.scene);
  check_camera(settings.camera);
  check_file(settings);
  check_sensor(settings);
}

std::string settings_text(const Settings& settings) {
  return json(settings).dump(2) + "\n";
}

Settings parse_settings(const std::string& text, const std::string& name) {
  try {
    Settings settings = settings_from(json::parse(text));
    check(settings);
    return settings;
  } catch (const json::exception& error) {
    throw Error(name + ": the settings cannot be read: " + error.what());
  } catch (const Error& error) {
    throw Error(name + ": " + error.what());
  }
}

std::string recording_name(const Settings& settings) {
  switch (settings.recording) {
    case RecordingKind::kVideo:
      return "camera." + name_of(settings.file.container);
    case RecordingKind::kSoundFile:
      return "sensor." + name_of(settings.sensor.file);
    case RecordingKind::kTable:
      break;
  }
  return "sensor.csv";
}

}  // namespace thumblight::rehearsal
