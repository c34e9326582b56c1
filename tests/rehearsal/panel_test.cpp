#include "analysis/rehearsal/panel.hpp"

#include <catch2/catch.hpp>
#include <cmath>

using namespace thumblight::rehearsal;

namespace {

constexpr Refresh kRefresh{0.003, 1.0 / 60.0};

double flip(int n) {
  return kRefresh.phase_s + n * kRefresh.interval_s;
}

/// Mean of 1 - exp(-t / tau) over [from, to] about a step at 0, worked by hand.
double first_order_mean(double from, double to, double tau) {
  if (to <= 0.0) {
    return 0.0;
  }
  const double start = std::max(from, 0.0);
  return (to - start - tau * (std::exp(-start / tau) - std::exp(-to / tau))) / (to - from);
}

/// The mean of many short means: they must add up to the long one.
RowLight mean_of_parts(const Panel& panel, double row, double from, double to) {
  constexpr int kParts = 1000;
  RowLight sum{0.0, 0.0};
  for (int k = 0; k < kParts; ++k) {
    const double step = (to - from) / kParts;
    const RowLight part = panel.mean(row, from + k * step, from + (k + 1) * step);
    sum.backlight += part.backlight / kParts;
    sum.drive += part.drive / kParts;
  }
  return sum;
}

}  // namespace

TEST_CASE("a row lights its share of the scan-out after the first") {
  // CTA-861 VIC 16, 1920x1080p60: 1125 lines, so row 540 starts 8 ms after row 0
  // (row_middle_start_ms of the display timings computed from the standard's tables).
  DisplaySettings settings;
  settings.scanout_share = 1080.0 / 1125.0;
  const Panel panel(settings, kRefresh, {});
  CHECK(panel.row_start_s(flip(10), 0.0) == Approx(flip(10)));
  CHECK(panel.row_start_s(flip(10), 0.5) - flip(10) == Approx(0.008).epsilon(1e-9));
  CHECK(panel.row_start_s(flip(10), 0.25) - flip(10) == Approx(0.004).epsilon(1e-9));
}

TEST_CASE("queued refreshes and processing come on top") {
  DisplaySettings settings;
  settings.queued_refreshes = 3;
  settings.processing_s = 0.005;
  const Panel panel(settings, kRefresh, {});
  CHECK(panel.row_start_s(flip(4), 0.0) == Approx(flip(7) + 0.005));
}

TEST_CASE("without vsync a flip shows where the beam is next") {
  DisplaySettings settings;
  settings.scanout_share = 1.0;
  const Panel panel(settings, kRefresh, {});
  const double middle = flip(2) + 0.5 * kRefresh.interval_s;
  CHECK(panel.row_start_s(middle, 0.75) == Approx(flip(2) + 0.75 * kRefresh.interval_s));
  CHECK(panel.row_start_s(middle, 0.25) == Approx(flip(3) + 0.25 * kRefresh.interval_s));
}

TEST_CASE("the energy of an exposure is the closed form of the step") {
  DisplaySettings settings;
  const double tau = settings.rise_s / std::log(9.0);
  const Panel panel(settings, kRefresh, {{flip(5), true}, {flip(20), false}});
  for (const double row : {0.0, 0.3, 1.0}) {
    const double start = flip(5) + row * settings.scanout_share * kRefresh.interval_s;
    for (const double from : {-0.01, -0.002, 0.0, 0.001, 0.01}) {
      const RowLight light = panel.mean(row, start + from, start + from + 0.004);
      CHECK(light.drive == Approx(first_order_mean(from, from + 0.004, tau)).margin(1e-12));
      CHECK(light.backlight == 1.0);
    }
    const double end = flip(20) + row * settings.scanout_share * kRefresh.interval_s;
    const RowLight dark = panel.mean(row, end - 0.001, end + 0.003);
    CHECK(dark.drive == Approx(1.0 - first_order_mean(-0.001, 0.003, tau)).margin(1e-9));
    CHECK(panel.mean(row, end + 0.2, end + 0.21).drive == Approx(0.0).margin(1e-12));
    CHECK(panel.mean(row, start + 0.1, start + 0.11).drive == Approx(1.0));
  }
}

TEST_CASE("the stated share of the step is reached when the panel says so") {
  for (const Rise kind : {Rise::kFirstOrder, Rise::kSCurve}) {
    DisplaySettings settings;
    settings.rise = kind;
    const Panel panel(settings, kRefresh, {{flip(5), true}});
    for (const double share : {0.1, 0.5, 0.9}) {
      const double at = panel.rise_reaches_s(flip(5), 0.4, share);
      CHECK(panel.mean(0.4, at - 1e-7, at + 1e-7).drive == Approx(share).epsilon(1e-4));
    }
  }
}

TEST_CASE("a pulsed backlight keeps the mean light and is dark between its pulses") {
  DisplaySettings settings;
  settings.pwm_hz = 240.0;
  settings.pwm_duty = 0.25;
  settings.rise_s = 0.0;
  settings.scanout_share = 0.0;
  const Panel panel(settings, kRefresh, {{flip(1), true}}, 0.001);
  const double late = flip(1) + 0.1;
  const RowLight whole = panel.mean(0.5, late, late + 10.0 / 240.0);
  CHECK(whole.backlight == Approx(1.0));
  CHECK(whole.drive == Approx(1.0));
  const double pulse = 0.001 + 30.0 / 240.0;
  CHECK(panel.mean(0.5, pulse + 0.0001, pulse + 0.0009).drive == Approx(4.0));
  CHECK(panel.mean(0.5, pulse + 0.0012, pulse + 0.0040).drive == 0.0);
  CHECK(panel.mean(0.5, flip(0) - 1.0, flip(0)).drive == 0.0);
  CHECK_FALSE(panel.is_steady());
}

TEST_CASE("a tube flashes as the beam passes, decays, and holds the light of a refresh") {
  DisplaySettings settings;
  settings.panel = PanelKind::kTube;
  settings.phosphor_s = 0.0005;
  const Panel panel(settings, kRefresh, {{flip(5), true}, {flip(15), false}});
  const double pass = panel.row_start_s(flip(8), 0.5);
  CHECK(panel.mean(0.5, pass, pass + kRefresh.interval_s).drive == Approx(1.0).epsilon(1e-9));
  const double early = panel.mean(0.5, pass, pass + 1e-6).drive;
  const double later = panel.mean(0.5, pass + 0.0005, pass + 0.0005 + 1e-6).drive;
  CHECK(later / early == Approx(std::exp(-1.0)).epsilon(1e-6));
  CHECK(panel.mean(0.5, pass - 0.001, pass - 1e-9).drive < 1e-6 * early);
  // Dark before the first bright pass and after the last; the glow of the dark screen goes on.
  CHECK(panel.mean(0.5, flip(4), panel.row_start_s(flip(5), 0.5) - 1e-9).drive == 0.0);
  const double end = panel.row_start_s(flip(15), 0.5);
  CHECK(panel.mean(0.5, end + 0.001, end + 0.1).drive == 0.0);
  CHECK(panel.mean(0.5, end, end + 6 * kRefresh.interval_s).backlight == Approx(1.0).epsilon(1e-9));
  CHECK(panel.rise_reaches_s(flip(5), 0.5, 0.1) == panel.row_start_s(flip(5), 0.5));
}

TEST_CASE("a long mean is the mean of its parts, whatever the panel") {
  DisplaySettings plain;
  DisplaySettings pulsed;
  pulsed.pwm_hz = 1000.0;
  pulsed.rise = Rise::kSCurve;
  DisplaySettings tube;
  tube.panel = PanelKind::kTube;
  for (const DisplaySettings& settings : {plain, pulsed, tube}) {
    const Panel panel(settings, kRefresh, {{flip(5), true}, {flip(9), false}, {flip(30), true}});
    for (const double row : {0.1, 0.9}) {
      const double from = flip(4);
      const double to = flip(33) + 0.0021;
      const RowLight whole = panel.mean(row, from, to);
      const RowLight parts = mean_of_parts(panel, row, from, to);
      CHECK(whole.backlight == Approx(parts.backlight).epsilon(1e-9));
      CHECK(whole.drive == Approx(parts.drive).epsilon(1e-9));
    }
  }
}
