#include "analysis/onset/step_fit.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "analysis/onset/step_likelihood.hpp"
#include "tests/onset/filmed.hpp"

using namespace thumblight;
using namespace thumblight::onset;

namespace {

double sudden(double t_s) {
  return t_s <= 0 ? 0 : 1;
}

struct Outcome {
  FittedModel fitted;
  test::Errors light;
  test::Errors lamp;
};

/// Films 40 presses with a lamp and a patch that rises with the time constant `tau_s`.
Outcome outcome(test::Camera camera, double tau_s) {
  const auto rise = [tau_s](double t) {
    return t <= 0 ? 0.0 : tau_s == 0 ? 1.0 : 1 - std::exp(-t / tau_s);
  };
  const test::Filmed light = test::film(camera, 40, rise, 11);
  ModelSearch search;
  search.interval_s = camera.interval_s;
  search.sloped_y = camera.rows > 1;
  camera.rows = 1;
  camera.lag_per_px = 0;
  const test::Filmed lamp = test::film(camera, 40, sudden, 77);
  Outcome result;
  result.fitted = fit_model(light.steps, lamp.steps, search);
  const DoubtedModel& model = result.fitted.light;
  result.light =
      test::errors_of(locate_all(light.steps, model, camera.interval_s).instants,
                      share_time_s(model.model.shape, 0.1), light.truth_s, -tau_s * std::log(0.9));
  result.lamp = test::errors_of(
      locate_all(lamp.steps, result.fitted.lamp, camera.interval_s).instants, 0, lamp.truth_s, 0);
  return result;
}

}  // namespace

TEST_CASE("light is placed within a frame, whatever rise, rows and exposure") {
  for (const double share : {0.5, 0.8, 1.0}) {
    for (const double tau_s : {0.0, 0.002, 0.008}) {
      for (const int rows : {1, 5}) {
        test::Camera camera;
        camera.exposure_share = share;
        camera.rows = rows;
        camera.lag_per_px = 2e-5;
        const Outcome found = outcome(camera, tau_s);
        INFO("exposure " << share << ", tau " << tau_s << ", rows " << rows);
        const double dead_s = (1 - share) * camera.interval_s;
        CHECK(std::abs(found.light.bias_s) < 3e-4);
        CHECK(found.light.sd_s < (share >= 0.8 ? 3e-4 : dead_s / std::sqrt(12.0) + 2e-4));
        CHECK(found.light.covered >= 0.9);
        CHECK(std::abs(found.lamp.bias_s) < 3e-4);
        CHECK(found.lamp.sd_s < dead_s / std::sqrt(12.0) + 2e-4);
        // One estimate of the exposure serves all lamps of a film, so their errors go together.
        CHECK(found.lamp.covered >= 0.75);
        CHECK(found.fitted.lamp.model.exposure_s ==
              Approx(share * camera.interval_s).epsilon(0.25));
      }
    }
  }
}

TEST_CASE("a level that a coder drew as the end already is no evidence against the rise") {
  constexpr double kTau_s = 0.0018;
  constexpr double kDark_s = 0.0053;  // from the half-lit frame's end to the next one's beginning
  constexpr double kLate_s = 0.0025;  // of the light, in the half-lit frame's exposure
  StepModel model;
  model.exposure_s = 0.0033;
  model.shape = {0, kTau_s};
  StepModel skipping = model;
  skipping.skipped = 0.03;
  // The mean over one exposure of what is missing, in closed form.
  const auto rest_after = [&](double t_s) {
    return kTau_s / model.exposure_s * std::exp(-t_s / kTau_s) *
           -std::expm1(-model.exposure_s / kTau_s);
  };
  const auto evidence = [&](const StepModel& of, double late_rest) {
    const double interval_s = model.exposure_s + kDark_s;
    const double lit_s = model.exposure_s - kLate_s;
    const double half = (lit_s - kTau_s * -std::expm1(-lit_s / kTau_s)) / model.exposure_s;
    FilmedStep step;
    PlaceSeries place;
    place.noise_before = place.noise_after = 0.003;
    const std::vector<double> levels = {0, 0, 0, half, 1 - late_rest, 1, 1};
    for (std::size_t i = 0; i < levels.size(); ++i) {
      step.start_s.push_back(interval_s * static_cast<double>(i));
      place.share.push_back(static_cast<float>(levels[i]));
    }
    step.places.push_back(place);
    step.about_s = step.start_s[3];
    ModelResponses responses(of);
    return evidence_of(step, responses, interval_s);
  };
  const double rest = rest_after(model.exposure_s - kLate_s + kDark_s);
  REQUIRE(rest > 0.015);
  INFO("missing " << rest);
  CHECK(evidence(skipping, 0) > evidence(skipping, rest) - 1);
  CHECK(evidence(model, 0) < evidence(model, rest) - 1.5);
  // Nobody skips as much as that.
  CHECK(evidence(skipping, 0.3) < evidence(skipping, rest) - 5);
  CHECK(evidence(model, 0.3) < evidence(model, rest) - 5);
}

TEST_CASE("slope and rise are found where one frame catches most rises") {
  constexpr double kTau_s = 0.0017;
  test::Camera camera;
  camera.interval_s = 1.0 / 120;
  camera.exposure_share = 0.4;
  camera.noise = 0.003;
  camera.rows = 4;
  camera.row_px = 10;
  camera.lag_per_px = 1.2e-4;
  ModelSearch search;
  search.interval_s = camera.interval_s;
  search.sloped_y = true;
  search.level_error = 0.006;
  for (const unsigned seed : {2U, 3U, 5U}) {  // 3: a false summit lies near
    const test::Filmed light = test::film(
        camera, 16, [=](double t) { return t <= 0 ? 0.0 : 1 - std::exp(-t / kTau_s); }, seed);
    const FittedModel fitted = fit_model(light.steps, {}, search);
    INFO("seed " << seed);
    CHECK(fitted.light.model.slope_y == Approx(camera.lag_per_px).epsilon(0.03));
    CHECK(rise_time_s(fitted.light.model.shape) == Approx(kTau_s * std::log(9.0)).epsilon(0.05));
  }
}

TEST_CASE("a stated exposure is kept") {
  test::Camera camera;
  const test::Filmed lamp = test::film(camera, 10, sudden, 5);
  ModelSearch search;
  search.interval_s = camera.interval_s;
  search.exposure_s = 0.9 * camera.interval_s;
  const FittedModel fitted = fit_model({}, lamp.steps, search);
  CHECK(fitted.lamp.model.exposure_s == *search.exposure_s);
  CHECK(fitted.exposure_u_s == 0);
}

TEST_CASE("a step in the dead time is known to the dead time and no better") {
  test::Camera camera;
  camera.exposure_share = 0.3;
  const test::Filmed lamp = test::film(camera, 60, sudden, 9);
  ModelSearch search;
  search.interval_s = camera.interval_s;
  search.exposure_s = 0.3 * camera.interval_s;
  const FittedModel fitted = fit_model({}, lamp.steps, search);
  const double rectangular_s = 0.7 * camera.interval_s / std::sqrt(12.0);
  int unseen = 0;
  const LocatedSteps located = locate_all(lamp.steps, fitted.lamp, camera.interval_s);
  for (const StepInstant& instant : located.instants) {
    CHECK(instant.u_s < 1.2 * rectangular_s);
    unseen += instant.u_s > 0.8 * rectangular_s ? 1 : 0;
  }
  CHECK(unseen > 30);
  CHECK(unseen < 55);
}

TEST_CASE("shifting the film shifts the instants and nothing else") {
  test::Camera camera;
  test::Filmed lamp = test::film(camera, 6, sudden, 21);
  ModelSearch search;
  search.interval_s = camera.interval_s;
  search.exposure_s = 0.9 * camera.interval_s;
  const FittedModel fitted = fit_model({}, lamp.steps, search);
  const std::vector<StepInstant> before =
      locate_all(lamp.steps, fitted.lamp, camera.interval_s).instants;
  for (FilmedStep& step : lamp.steps) {
    step.about_s += 3.25;
    for (double& start_s : step.start_s) {
      start_s += 3.25;
    }
  }
  const std::vector<StepInstant> after =
      locate_all(lamp.steps, fitted.lamp, camera.interval_s).instants;
  for (std::size_t i = 0; i < before.size(); ++i) {
    CHECK(after[i].begin_s - before[i].begin_s == Approx(3.25).epsilon(1e-6));
  }
}
