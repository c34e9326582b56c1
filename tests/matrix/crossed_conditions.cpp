#include <algorithm>
#include <array>
#include <cstdio>
#include <functional>
#include <random>

#include "tests/matrix/conditions.hpp"

namespace thumblight::test {
namespace {

using rehearsal::Settings;

/// One level of a factor: what it is called in a cell's name, and what it changes.
struct Level {
  std::string name;
  std::function<void(Settings&)> apply;
};
using Factor = std::vector<Level>;

template <class Value, class Apply>
Factor levels(const char* format, const std::vector<Value>& values, const Apply& apply) {
  Factor factor;
  for (const Value value : values) {
    std::array<char, 32> text{};
    std::snprintf(text.data(), text.size(), format, value);
    factor.push_back({text.data(), [apply, value](Settings& s) { apply(s, value); }});
  }
  return factor;
}

Factor timing() {
  return {{"", [](Settings&) {}},
          {"", [](Settings&) {}},
          {"conformed", [](Settings& s) { s.file.stamps = rehearsal::Stamps::kConformed; }},
          {"uneven",
           [](Settings& s) {
             s.camera.interval_jitter = 0.15;
             s.camera.rate_wander = 0.02;
             s.camera.exposure_share = std::min(s.camera.exposure_share, 0.65);
           }},
          {"dropped", [](Settings& s) { s.camera.dropped = 0.02; }}};
}

Factor layouts() {
  using rehearsal::Layout;
  return {{"desk", [](Settings& s) { s.scene.layout = Layout::kDesk; }},
          {"sofa", [](Settings& s) { s.scene.layout = Layout::kSofa; }},
          {"handheld", [](Settings& s) { s.scene.layout = Layout::kHandheld; }},
          {"close", [](Settings& s) { s.scene.layout = Layout::kCloseUp; }}};
}

Factor presses() {
  Factor factor(4, {"lamp", [](Settings&) {}});
  factor[3] = {"finger", [](Settings& s) { s.lamp.on_button = false; }};
  return factor;
}

Factor rooms() {
  return {{"", [](Settings&) {}},
          {"dim", [](Settings& s) { s.scene.ambient = 0.06; }},
          {"mains", [](Settings& s) { s.scene.flicker = 0.25; }},
          {"spill", [](Settings& s) { s.scene.spill = 0.04; }},
          {"shaken",
           [](Settings& s) {
             s.scene.shake = 0.006;
             s.scene.hand_sway = 0.01;
           }},
          {"auto", [](Settings& s) {
             s.scene.auto_exposure = 0.08;
             s.scene.spill = 0.02;
           }}};
}

Factor curves() {
  using rehearsal::Curve;
  return {{"709", [](Settings& s) { s.camera.curve = Curve::kBt709; }},
          {"709", [](Settings& s) { s.camera.curve = Curve::kBt709; }},
          {"hlg10", [](Settings& s) {
             s.camera.curve = Curve::kHlg;
             s.camera.bits = 10;
             s.file.codec = rehearsal::VideoCodec::kHevc;
           }}};
}

Factor panels() {
  const auto rise = [](Settings& s, double rise_s) {
    s.display.rise_s = s.display.fall_s = rise_s;
  };
  Factor factor = levels<double>("rise %g", {0.0005, 0.004, 0.012}, rise);
  factor.push_back({"s-rise 0.006", [rise](Settings& s) {
                      rise(s, 0.006);
                      s.display.rise = rehearsal::Rise::kSCurve;
                    }});
  return factor;
}

/// In the order in which they apply: later ones may look at what earlier ones set.
std::vector<Factor> factors() {
  return {
      levels<double>("%g", {120, 240, 960}, [](Settings& s, double v) { s.camera.nominal_hz = v; }),
      levels<double>("exp %g", {0.2, 0.35, 0.5, 0.8, 1.0},
                     [](Settings& s, double v) { s.camera.exposure_share = v; }),
      levels<double>("noise %g", {0, 0.003, 0.01},
                     [](Settings& s, double v) { s.camera.read_noise = v; }),
      levels<double>("crf %g", {18, 22, 26, 30}, [](Settings& s, double v) { s.file.quality = v; }),
      levels<double>("readout %g", {0, 0.001, 0.0025, 0.004},
                     [](Settings& s, double v) {
                       s.camera.readout_s = std::min(v, 0.95 / s.camera.nominal_hz);
                     }),
      levels<int>("turn %d", {0, 0, 90, 180, 270},
                  [](Settings& s, int v) { s.camera.rotation_deg = v; }),
      presses(),
      layouts(),
      rooms(),
      panels(),
      curves(),
      timing(),
      levels<double>("bright %g", {0.3, 0.6, 0.85},
                     [](Settings& s, double v) { s.display.bright = v; }),
      levels<double>("", {59.94, 74.97, 119.88},
                     [](Settings& s, double v) { s.display.refresh_hz = v; }),
  };
}

}  // namespace

std::vector<Condition> crossed_conditions(int count, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::vector<Condition> cells(static_cast<std::size_t>(count), {"", plain_settings(), true});
  for (const Factor& factor : factors()) {
    std::vector<std::size_t> order(cells.size());
    for (std::size_t i = 0; i < order.size(); ++i) {
      order[i] = i % factor.size();
    }
    // A shuffle of our own: the library's differs from one to the next.
    for (std::size_t i = order.size(); i > 1; --i) {
      std::swap(order[i - 1], order[random() % i]);
    }
    for (std::size_t i = 0; i < cells.size(); ++i) {
      const Level& level = factor[order[i]];
      level.apply(cells[i].settings);
      cells[i].name += level.name.empty() ? "" : (cells[i].name.empty() ? "x " : ", ") + level.name;
    }
  }
  return cells;
}

}  // namespace thumblight::test
