#include "tests/matrix/matrix.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include "analysis/onset/extract.hpp"
#include "analysis/onset/setup.hpp"
#include "analysis/rehearsal/rehearse.hpp"
#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"

namespace thumblight::test {
namespace {

using rehearsal::Settings;
using Change = std::function<void(Settings&)>;

Settings plain() {
  Settings settings;
  settings.press.count = 24;
  settings.display.refresh_hz = 59.94;  // 60 would lock the lights to the frames
  settings.camera.exposure_share = 0.8;
  settings.camera.read_noise = 0.004;
  settings.camera.full_well = 8000;
  return settings;
}

Cell cell(const std::string& name, const Change& change) {
  Cell made;
  made.name = name;
  made.settings = plain();
  change(made.settings);
  return made;
}

/// Gathers errors one by one.
class Counter {
 public:
  void add(double error_s, double u_s) {
    errors_.push_back(error_s);
    tally_.mean_u_s += u_s;
    tally_.covered += std::abs(error_s) <= 2 * u_s ? 1 : 0;
  }
  void add_within(bool inside) { tally_.within += inside ? 1 : 0; }

  Tally finish() {
    tally_.n = static_cast<int>(errors_.size());
    if (tally_.n == 0) {
      return tally_;
    }
    for (const double error : errors_) {
      tally_.bias_s += error / tally_.n;
    }
    for (const double error : errors_) {
      tally_.sd_s += (error - tally_.bias_s) * (error - tally_.bias_s) / tally_.n;
    }
    tally_.sd_s = std::sqrt(tally_.sd_s);
    tally_.mean_u_s /= tally_.n;
    tally_.covered /= tally_.n;
    tally_.within /= tally_.n;
    return tally_;
  }

 private:
  std::vector<double> errors_;
  Tally tally_;
};

void compare(const rehearsal::Truth& truth, const onset::Timings& timings, Cell& cell) {
  constexpr double kSame_s = 0.05;
  Counter light;
  Counter press;
  Counter total;
  int found = 0;
  for (const rehearsal::PressTruth& real : truth.presses) {
    if (!real.flash) {
      continue;
    }
    ++cell.expected;
    const double light_s = real.flash->light.recording_s;
    const auto read = std::find_if(
        timings.presses.begin(), timings.presses.end(), [&](const onset::PressTiming& timing) {
          return timing.light && std::abs(timing.light->t_s - light_s) < kSame_s;
        });
    if (read == timings.presses.end()) {
      ++cell.missed;
      continue;
    }
    ++found;
    const double light_error = read->light->t_s - light_s;
    light.add(light_error, *read->light->u_s);
    if (read->press) {
      const double contact_s = real.contact.recording_s;
      const double press_error = read->press->t_s - contact_s;
      press.add(press_error, *read->press->u_s);
      press.add_within(read->press->from_s && *read->press->from_s <= contact_s &&
                       contact_s <= *read->press->to_s);
      total.add(light_error - press_error, std::hypot(*read->light->u_s, *read->press->u_s));
    }
  }
  const auto lights = std::count_if(timings.presses.begin(), timings.presses.end(),
                                    [](const auto& timing) { return timing.light.has_value(); });
  cell.invented = static_cast<int>(lights) - found;
  cell.light = light.finish();
  cell.press = press.finish();
  cell.total = total.finish();
}

std::vector<Cell> fast_cells() {
  return {
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
}

void add_rates(std::vector<Cell>& cells) {
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

void add_camera(std::vector<Cell>& cells) {
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

void add_scene(std::vector<Cell>& cells) {
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

std::vector<Cell> matrix_cells(bool fast) {
  if (fast) {
    return fast_cells();
  }
  std::vector<Cell> cells;
  add_rates(cells);
  add_camera(cells);
  add_scene(cells);
  return cells;
}

void run_cell(Cell& cell, const std::filesystem::path& folder) {
  const rehearsal::Truth truth = rehearsal::rehearse(cell.settings, folder);
  const session::Log log = session::read_log(folder / "session.jsonl");
  onset::Request request;
  request.recording = folder / truth.recording;
  request.log = &log;
  request.setup = onset::read_setup(folder / "setup.json");
  try {
    compare(truth, onset::extract(request), cell);
  } catch (const Error& error) {
    cell.fault = error.what();
  }
}

double allowed_bias_s(const Cell& cell) {
  return 3e-4 * std::max(1.0, 240 / cell.settings.camera.nominal_hz);
}

double allowed_sd_s(const Cell& cell) {
  const rehearsal::CameraSettings& camera = cell.settings.camera;
  const double dead_s = (1 - camera.exposure_share) / camera.nominal_hz;
  const double frame = std::max(1.0, 240 / camera.nominal_hz);
  return camera.exposure_share >= 0.8 && camera.dropped == 0 && camera.doubled == 0
             ? 3e-4 * frame
             : (dead_s / std::sqrt(12.0) + 2e-4 * frame) +
                   2e-3 * (camera.dropped + camera.doubled) * 10;
}

}  // namespace thumblight::test
