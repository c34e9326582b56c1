#include "analysis/onset/pulsed_light.hpp"

#include <catch2/catch.hpp>
#include <cmath>

using namespace thumblight::onset;

namespace {

/// Presses on a tube refreshed 59.94 times a second, filmed 240 times a second: closed form.
FilmedGroup tube(double exposure_share, int presses) {
  constexpr double kInterval_s = 1.0 / 240;
  constexpr double kDecay_s = 0.0006;
  const auto faded = [](double t) { return t <= 0 ? 0.0 : 1 - std::exp(-t / kDecay_s); };
  FilmedGroup group;
  for (int k = 0; k < presses; ++k) {
    FilmedStep step;
    PlaceSeries place;
    const double begin_s = 0.02 + 0.00137 * k;
    for (int i = 0; i < 40; ++i) {
      const double from_s = i * kInterval_s;
      const double to_s = from_s + exposure_share * kInterval_s;
      double sum = 0;
      for (int pulse = 0; pulse < 9; ++pulse) {
        const double at_s = begin_s + pulse / 59.94;
        sum += faded(to_s - at_s) - faded(from_s - at_s);
      }
      step.start_s.push_back(from_s);
      place.share.push_back(static_cast<float>(sum));
    }
    place.height = 1;
    step.about_s = begin_s - 0.003;
    step.places.assign(2, place);
    group.steps.push_back(step);
  }
  return group;
}

}  // namespace

TEST_CASE("what is lost of a tube's pulses tells the exposure") {
  for (const double share : {0.95, 0.8, 0.6}) {
    const auto found = exposure_by_pulses(tube(share, 24));
    REQUIRE(found);
    INFO("exposure " << share);
    CHECK(found->value == Approx(share).margin(0.05));
    CHECK(found->u > 0.019);
    CHECK(found->u < 0.08);
  }
}

TEST_CASE("too few pulses tell nothing of the exposure") {
  CHECK_FALSE(exposure_by_pulses({}));
  CHECK_FALSE(exposure_by_pulses(tube(0.8, 4)));
}
