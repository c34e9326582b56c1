#include "analysis/rehearsal/presets.hpp"

#include "harness/session/error.hpp"

namespace thumblight::rehearsal {

namespace {

Settings wired_pad() {
  Settings settings;
  settings.delivery.model = DeliveryModel::kPolling;
  settings.delivery.interval_s = 0.004;
  settings.delivery.base_s = 0.0006;
  return settings;
}

Settings wireless_pad() {
  Settings settings;
  settings.delivery.model = DeliveryModel::kWireless;
  settings.delivery.interval_s = 0.004;
  settings.delivery.base_s = 0.0015;
  settings.delivery.radio_interval_s = 0.0075;
  settings.delivery.radio_loss = 0.15;
  settings.setup.labels["connection"] = "wireless";
  return settings;
}

Settings queueing_television() {
  Settings settings = wired_pad();
  settings.display.queued_refreshes = 3;
  settings.display.processing_s = 0.004;
  settings.display.rise = Rise::kSCurve;
  settings.display.rise_s = 0.006;
  settings.display.fall_s = 0.008;
  settings.scene.layout = Layout::kSofa;
  settings.setup.labels["display"] = "queueing television";
  return settings;
}

Settings old_tube() {
  Settings settings = wired_pad();
  settings.display.panel = PanelKind::kTube;
  settings.display.width = 640;
  settings.display.height = 480;
  settings.display.refresh_hz = 59.94;
  settings.display.scanout_share = 480.0 / 525.0;  // CTA-861 VIC 1
  settings.display.bright = 0.15;
  settings.setup.labels["display"] = "old tube";
  return settings;
}

/// A figure that breathes before a drifting ground and jumps; nothing logs it.
Settings console() {
  Settings settings = queueing_television();
  settings.log = false;
  settings.host.pacing = Pacing::kFrameStart;
  settings.scene.layout = Layout::kDesk;
  settings.camera.read_noise = 0.005;
  settings.camera.full_well = 4000.0;
  settings.setup.regions = true;
  settings.setup.labels["device"] = "console";
  settings.game.kind = GameKind::kFigure;
  settings.game.ground_contrast = 0.4;
  settings.game.scroll_per_s = 0.15;
  settings.game.idle_height = 0.015;
  return settings;
}

struct Preset {
  const char* name;
  Settings (*make)();
};

constexpr Preset kPresets[] = {{"wired-pad", wired_pad},
                               {"wireless-pad", wireless_pad},
                               {"queueing-television", queueing_television},
                               {"old-tube", old_tube},
                               {"console", console}};

}  // namespace

std::vector<std::string> preset_names() {
  std::vector<std::string> names;
  for (const Preset& entry : kPresets) {
    names.emplace_back(entry.name);
  }
  return names;
}

Settings preset(const std::string& name) {
  std::string known;
  for (const Preset& entry : kPresets) {
    if (name == entry.name) {
      return entry.make();
    }
    known += std::string(known.empty() ? "" : ", ") + entry.name;
  }
  throw Error("there is no preset \"" + name + "\"; there are " + known);
}

}  // namespace thumblight::rehearsal
