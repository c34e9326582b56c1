#include "analysis/onset/step_fit.hpp"

#include <catch2/catch.hpp>
#include <cmath>

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
