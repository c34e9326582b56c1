#include "analysis/report/plan.hpp"

#include <cmath>

#include "analysis/report/numbers.hpp"
#include "analysis/statistics/distributions.hpp"
#include "harness/session/error.hpp"

namespace thumblight::report {
namespace {

using statistics::PlanBasis;
using statistics::ScatterSources;

constexpr double kMsPerSecond = 1000;

std::string period(double period_ms) {
  return fixed(period_ms, decimals_for(period_ms) + 1) + " ms";
}

void add_source(Plan& plan, const std::string& what, const std::string& how,
                const ScatterSources& alone) {
  plan.sources.push_back({what, how, *statistics::predicted_sd_ms(alone)});
}

std::vector<SpreadSource> sources_of(const PlanRequest& request) {
  Plan plan;
  const ScatterSources& sources = request.sources;
  if (request.pilot) {
    plan.sources.push_back({"pilot: " + request.pilot->portion + " of " +
                                std::to_string(request.pilot->n) + " presses",
                            "", request.pilot->sd_ms});
  }
  if (sources.camera_hz) {
    add_source(plan, "camera, " + shortest(*sources.camera_hz) + " images a second",
               period(kMsPerSecond / *sources.camera_hz) + " / √6",
               {.camera_hz = sources.camera_hz});
  }
  if (sources.refresh_hz) {
    add_source(plan, "wait for the refresh, " + shortest(*sources.refresh_hz) + " Hz",
               period(kMsPerSecond / *sources.refresh_hz) + " / √12",
               {.refresh_hz = sources.refresh_hz});
  }
  if (sources.poll_interval_ms) {
    add_source(plan, "wait for the polling", shortest(*sources.poll_interval_ms) + " ms / √12",
               {.poll_interval_ms = sources.poll_interval_ms});
  }
  if (sources.other_sd_ms) {
    add_source(plan, "other spread", "", {.other_sd_ms = sources.other_sd_ms});
  }
  return plan.sources;
}

double sd_of(const ScatterSources& sources, const std::optional<Pilot>& pilot) {
  if (pilot) {
    return pilot->sd_ms;
  }
  const std::optional<double> sd_ms = statistics::predicted_sd_ms(sources);
  if (!sd_ms) {
    throw Error("nothing is known of the presses' spread; state a camera's rate or a pilot");
  }
  return *sd_ms;
}

PlanBasis basis_of_mean(double sd_ms, double lasting_u_ms) {
  return {.sd_ms = sd_ms, .lasting_u_ms = lasting_u_ms};
}

/// What lasts in the one mean and in the other is taken as unrelated.
PlanBasis basis_of_difference(double sd_ms, double lasting_u_ms) {
  return {.sd_ms = sd_ms, .lasting_u_ms = lasting_u_ms * std::sqrt(2.0)};
}

std::optional<std::size_t> presses_for(const PlanRequest& request, double sd_ms,
                                       double lasting_u_ms) {
  switch (request.question) {
    case PlanQuestion::kHalfWidth:
      return statistics::presses_for_half_width(basis_of_mean(sd_ms, lasting_u_ms),
                                                request.wanted_ms);
    case PlanQuestion::kDifference:
      return statistics::presses_to_tell_apart(basis_of_difference(sd_ms, lasting_u_ms),
                                               request.wanted_ms, request.power);
    case PlanQuestion::kPresses:
      break;
  }
  return request.presses;
}

void say_what_presses_carry(Plan& plan) {
  if (!plan.presses) {
    return;
  }
  plan.half_width_ms = statistics::planned_half_width_ms(
      basis_of_mean(plan.sd_ms, plan.lasting_u_ms), *plan.presses);
  plan.difference_ms = statistics::detectable_difference_ms(
      basis_of_difference(plan.sd_ms, plan.lasting_u_ms), *plan.presses, plan.request.power);
  const double setups = plan.request.question == PlanQuestion::kDifference ? 2 : 1;
  const double presses = setups * static_cast<double>(*plan.presses);
  plan.least_session_s = presses * (kHoldMs + kRestMs) / kMsPerSecond;
  plan.unhurried_session_s = presses * kUnhurriedPressS;
}

/// Keeps a change where it takes at most three quarters of the presses.
void try_remedy(Plan& plan, const std::string& what, const ScatterSources& changed) {
  const double sd_ms = statistics::predicted_sd_ms(changed).value_or(0);
  if (sd_ms <= 0) {
    return;  // nothing would be left that is known to spread, which is no plan
  }
  const auto presses = presses_for(plan.request, sd_ms, plan.lasting_u_ms);
  if (presses && *presses <= kMostSensiblePresses &&
      (!plan.presses || 4 * *presses <= 3 * *plan.presses)) {
    plan.remedies.push_back({what, *presses});
  }
}

void find_bearable_spread(Plan& plan) {
  const auto serves = [&](double sd_ms) {
    const auto presses = presses_for(plan.request, sd_ms, plan.lasting_u_ms);
    return presses && *presses <= kMostSensiblePresses;
  };
  if (plan.request.question == PlanQuestion::kPresses || serves(plan.sd_ms) || !serves(0)) {
    return;
  }
  double bearable_ms = 0;
  double too_much_ms = plan.sd_ms;
  constexpr int kHalvings = 30;
  for (int k = 0; k < kHalvings; ++k) {
    const double middle_ms = (bearable_ms + too_much_ms) / 2;
    (serves(middle_ms) ? bearable_ms : too_much_ms) = middle_ms;
  }
  plan.bearable_sd_ms = bearable_ms;
}

void find_remedies(Plan& plan) {
  const ScatterSources& sources = plan.request.sources;
  if (plan.request.question == PlanQuestion::kPresses) {
    return;
  }
  if (sources.camera_hz) {
    for (const double factor : {2.0, 4.0}) {
      ScatterSources faster = sources;
      faster.camera_hz = factor * *sources.camera_hz;
      try_remedy(plan, "a camera of " + shortest(*faster.camera_hz) + " images a second", faster);
    }
    ScatterSources sensor = sources;
    sensor.camera_hz.reset();
    try_remedy(plan, "a contact and a light sensor in place of the camera", sensor);
  }
  if (sources.refresh_hz) {
    ScatterSources remainder = sources;
    remainder.refresh_hz.reset();
    try_remedy(plan, "the remainder in place of the total: the log knows each wait for the refresh",
               remainder);
  }
  if (sources.poll_interval_ms && *sources.poll_interval_ms > 1) {
    ScatterSources polled = sources;
    polled.poll_interval_ms = 1;
    try_remedy(plan, "polling every 1 ms", polled);
  }
}

}  // namespace

Plan make_plan(const PlanRequest& request) {
  Plan plan;
  plan.request = request;
  plan.sources = sources_of(request);
  plan.sd_ms = sd_of(request.sources, request.pilot);
  plan.lasting_u_ms =
      std::hypot(request.lasting_u_ms, request.pilot ? request.pilot->lasting_u_ms : 0.0);
  const double factor = statistics::normal_quantile(0.5 + plan.level / 2);
  plan.least_half_width_ms = factor * plan.lasting_u_ms;
  plan.least_difference_ms = factor * plan.lasting_u_ms * std::sqrt(2.0);
  plan.presses = presses_for(request, plan.sd_ms, plan.lasting_u_ms);
  say_what_presses_carry(plan);
  find_remedies(plan);
  find_bearable_spread(plan);
  return plan;
}

}  // namespace thumblight::report
