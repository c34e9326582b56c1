#include "analysis/rehearsal/panel.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::rehearsal {

namespace {

constexpr double kHair = 1e-9;  ///< of a refresh: a flip at a row's very scan shows in it

StepResponse response(const DisplaySettings& settings, double time_s) {
  return {settings.rise, settings.panel == PanelKind::kTube ? 0.0 : time_s};
}

}  // namespace

Panel::Panel(const DisplaySettings& settings, Refresh refresh, std::vector<Change> changes,
             double pwm_phase_s)
    : settings_(settings),
      refresh_(refresh),
      changes_(std::move(changes)),
      rise_(response(settings, settings.rise_s)),
      fall_(response(settings, settings.fall_s)),
      delay_s_(static_cast<double>(settings.queued_refreshes) * refresh.interval_s +
               settings.processing_s),
      pwm_phase_s_(pwm_phase_s) {}

double Panel::row_start_s(double flip_s, double row) const {
  const double lag = row * settings_.scanout_share;
  const double n = std::ceil((flip_s - refresh_.phase_s) / refresh_.interval_s - lag - kHair);
  return refresh_.phase_s + (n + lag) * refresh_.interval_s + delay_s_;
}

double Panel::rise_reaches_s(double flip_s, double row, double share) const {
  return row_start_s(flip_s, row) + rise_.time_to_s(share);
}

double Panel::fall_reaches_s(double flip_s, double row, double share) const {
  return row_start_s(flip_s, row) + fall_.time_to_s(share);
}

bool Panel::is_steady() const {
  return settings_.panel == PanelKind::kSteady && settings_.pwm_hz == 0.0;
}

std::size_t Panel::changes_until(double t_s) const {
  const auto later =
      std::upper_bound(changes_.begin(), changes_.end(), t_s - delay_s_,
                       [](double value, const Change& change) { return value < change.flip_s; });
  return static_cast<std::size_t>(later - changes_.begin());
}

/// Superposition: each change adds its own step, up or down. Exact where rise and fall are equal or
/// the rise is complete before the fall, which the shortest hold leaves ample time for.
double Panel::drive_integral(double row, double from_s, double to_s) const {
  double sum = 0.0;
  std::size_t index = changes_until(to_s);
  while (index > 0) {
    const Change& change = changes_[--index];
    const double start = row_start_s(change.flip_s, row);
    const StepResponse& step = change.bright ? rise_ : fall_;
    if (from_s - start >= step.settled_s()) {
      return sum + (change.bright ? to_s - from_s : 0.0);
    }
    const double part = step.integral_s(to_s - start) - step.integral_s(from_s - start);
    sum += change.bright ? part : -part;
  }
  return sum;
}

RowLight Panel::mean(double row, double from_s, double to_s) const {
  if (settings_.panel == PanelKind::kTube) {
    return tube_mean(row, from_s, to_s);
  }
  if (settings_.pwm_hz > 0.0 && settings_.pwm_duty < 1.0) {
    return pulsed_mean(row, from_s, to_s);
  }
  return {1.0, drive_integral(row, from_s, to_s) / (to_s - from_s)};
}

RowLight Panel::pulsed_mean(double row, double from_s, double to_s) const {
  const double period = 1.0 / settings_.pwm_hz;
  const double on = period * settings_.pwm_duty;
  RowLight sum{0.0, 0.0};
  for (double n = std::floor((from_s - pwm_phase_s_) / period);; n += 1.0) {
    const double start = std::max(from_s, pwm_phase_s_ + n * period);
    if (start >= to_s) {
      break;
    }
    const double end = std::min(to_s, pwm_phase_s_ + n * period + on);
    if (end > start) {
      sum.backlight += end - start;
      sum.drive += drive_integral(row, start, end);
    }
  }
  const double share = 1.0 / (settings_.pwm_duty * (to_s - from_s));
  return {sum.backlight * share, sum.drive * share};
}

bool Panel::bright_at(double row, double t_s) const {
  for (std::size_t index = changes_until(t_s); index > 0; --index) {
    const Change& change = changes_[index - 1];
    if (row_start_s(change.flip_s, row) <= t_s + kHair * refresh_.interval_s) {
      return change.bright;
    }
  }
  return false;
}

/// Each pass of the beam leaves a flash that decays exponentially and that holds, at a mean
/// luminance of 1, the light of one refresh.
RowLight Panel::tube_mean(double row, double from_s, double to_s) const {
  const double tau = settings_.phosphor_s;
  const double lag = row * settings_.scanout_share * refresh_.interval_s + delay_s_;
  const double first_s = from_s - 30.0 * tau;
  RowLight sum{0.0, 0.0};
  for (double n = std::ceil((first_s - refresh_.phase_s - lag) / refresh_.interval_s);; n += 1.0) {
    const double pass = refresh_.phase_s + n * refresh_.interval_s + lag;
    if (pass >= to_s) {
      break;
    }
    const double seen =
        std::exp(-std::max(from_s - pass, 0.0) / tau) - std::exp(-(to_s - pass) / tau);
    const double light = refresh_.interval_s * seen;
    sum.backlight += light;
    sum.drive += bright_at(row, pass) ? light : 0.0;
  }
  return {sum.backlight / (to_s - from_s), sum.drive / (to_s - from_s)};
}

}  // namespace thumblight::rehearsal
