#include "tests/matrix/conditions.hpp"

#include <functional>
#include <string>

namespace thumblight::test {
namespace {

using rehearsal::Settings;
using Change = std::function<void(Settings&)>;

Condition cell(const std::string& name, const Change& change) {
  Condition made{name, plain_settings()};
  change(made.settings);
  return made;
}

void add_rates(std::vector<Condition>& cells) {
  for (const double hz : {120.0, 240.0, 960.0}) {
    for (const double share : {0.2, 0.5, 0.8, 1.0}) {
      cells.push_back(cell(std::to_string(static_cast<int>(hz)) + " fps, exposure " +
                               std::to_string(share).substr(0, 3),
                           [&](Settings& s) {
                             s.camera.nominal_hz = hz;
                             s.camera.exposure_share = share;
                           }));
    }
  }
}

void add_camera(std::vector<Condition>& cells) {
  for (const double readout_s : {0.0, 0.001, 0.004}) {
    cells.push_back(cell("readout " + std::to_string(readout_s).substr(0, 5),
                         [&](Settings& s) { s.camera.readout_s = readout_s; }));
  }
  for (const int turn : {90, 180, 270}) {
    cells.push_back(cell("rotation " + std::to_string(turn),
                         [&](Settings& s) { s.camera.rotation_deg = turn; }));
  }
  for (const double noise : {0.0, 0.002, 0.02}) {
    cells.push_back(cell("noise " + std::to_string(noise).substr(0, 5),
                         [&](Settings& s) { s.camera.read_noise = noise; }));
  }
  for (const double crf : {23.0, 30.0}) {
    cells.push_back(cell("crf " + std::to_string(static_cast<int>(crf)),
                         [&](Settings& s) { s.file.quality = crf; }));
  }
  cells.push_back(cell("dropped", [](Settings& s) { s.camera.dropped = 0.03; }));
  cells.push_back(cell("doubled", [](Settings& s) { s.camera.doubled = 0.02; }));
  cells.push_back(cell("uneven", [](Settings& s) {
    s.camera.exposure_share = 0.6;
    s.camera.interval_jitter = 0.15;
    s.camera.rate_wander = 0.02;
  }));
  cells.push_back(
      cell("conformed", [](Settings& s) { s.file.stamps = rehearsal::Stamps::kConformed; }));
  cells.push_back(cell("conformed, by metadata", [](Settings& s) {
    s.file.stamps = rehearsal::Stamps::kConformed;
    s.file.capture_rate_metadata = true;
    s.setup.capture_rate = false;
  }));
  cells.push_back(cell("readout not stated", [](Settings& s) { s.setup.readout = false; }));
}

void add_scene(std::vector<Condition>& cells) {
  cells.push_back(cell("finger", [](Settings& s) { s.lamp.on_button = false; }));
  cells.push_back(cell("finger, 120 fps", [](Settings& s) {
    s.lamp.on_button = false;
    s.camera.nominal_hz = 120;
  }));
  cells.push_back(cell("mains 100 Hz", [](Settings& s) { s.scene.flicker = 0.3; }));
  cells.push_back(cell("mains 120 Hz", [](Settings& s) {
    s.scene.flicker = 0.3;
    s.scene.flicker_hz = 120;
  }));
  cells.push_back(cell("shake, sway", [](Settings& s) {
    s.scene.shake = 0.01;
    s.scene.hand_sway = 0.02;
  }));
  cells.push_back(cell("auto exposure, spill", [](Settings& s) {
    s.scene.auto_exposure = 0.1;
    s.scene.spill = 0.05;
  }));
  cells.push_back(cell("slow rise", [](Settings& s) {
    s.display.rise_s = 0.02;
    s.display.fall_s = 0.02;
  }));
  cells.push_back(cell("s-curve", [](Settings& s) {
    s.display.rise = rehearsal::Rise::kSCurve;
    s.display.rise_s = 0.008;
  }));
  cells.push_back(cell("lit at once", [](Settings& s) { s.display.scanout_share = 0; }));
  cells.push_back(cell("tube", [](Settings& s) { s.display.panel = rehearsal::PanelKind::kTube; }));
  cells.push_back(cell("host lamp", [](Settings& s) { s.lamp.on_host = true; }));
  cells.push_back(cell("repeated presses", [](Settings& s) { s.press.repeat_share = 0.3; }));
  cells.push_back(cell("HEVC 10 bit, HLG", [](Settings& s) {
    s.file.codec = rehearsal::VideoCodec::kHevc;
    s.camera.bits = 10;
    s.camera.curve = rehearsal::Curve::kHlg;
  }));
}

}  // namespace

Settings plain_settings() {
  Settings settings;
  settings.press.count = 24;
  settings.display.refresh_hz = 59.94;  // 60 would lock the lights to the frames
  settings.camera.exposure_share = 0.8;
  settings.camera.read_noise = 0.004;
  settings.camera.full_well = 8000;
  return settings;
}

std::vector<Condition> fast_conditions() {
  std::vector<Condition> cells = {
      cell("240 fps, exposure 0.8", [](Settings&) {}),
      cell("120 fps, exposure 1.0, crf 23",
           [](Settings& s) {
             s.camera.nominal_hz = 120;
             s.camera.exposure_share = 1;
             s.file.quality = 23;
           }),
      cell("exposure 0.3, no readout",
           [](Settings& s) {
             s.camera.exposure_share = 0.3;
             s.camera.readout_s = 0;
           }),
      cell("rotated by 90, uneven, dropped",
           [](Settings& s) {
             s.camera.rotation_deg = 90;
             s.camera.exposure_share = 0.6;
             s.camera.interval_jitter = 0.15;
             s.camera.dropped = 0.02;
           }),
      cell("finger, conformed",
           [](Settings& s) {
             s.lamp.on_button = false;
             s.file.stamps = rehearsal::Stamps::kConformed;
           }),
      cell("flicker, spill, shake",
           [](Settings& s) {
             s.scene.flicker = 0.3;
             s.scene.spill = 0.03;
             s.scene.shake = 0.004;
           }),
  };
  for (Condition& fast : cells) {
    // A short exposure is known from how many lamps are caught half lit: a few presses more.
    fast.settings.press.count = fast.settings.camera.exposure_share < 0.8 ? 40 : 16;
  }
  return cells;
}

std::vector<Condition> single_conditions() {
  std::vector<Condition> cells;
  add_rates(cells);
  add_camera(cells);
  add_scene(cells);
  return cells;
}

}  // namespace thumblight::test
