#include "analysis/rehearsal/step_response.hpp"

#include <catch2/catch.hpp>
#include <cmath>

using namespace thumblight::rehearsal;

namespace {

/// Midpoint sums: a plain second opinion on the closed form.
double integral(const StepResponse& step, double to_s) {
  constexpr int kSteps = 200'000;
  double sum = 0.0;
  for (int k = 0; k < kSteps; ++k) {
    sum += step.value(to_s * (k + 0.5) / kSteps);
  }
  return sum * to_s / kSteps;
}

}  // namespace

TEST_CASE("a first-order step rises from 10 % to 90 % in 2.197 time constants") {
  // ln 9 = 2.1972: handbook of control engineering, from memory.
  const double tau = 0.002;
  const StepResponse step(Rise::kFirstOrder, 2.1972245773 * tau);
  CHECK(step.time_to_s(0.9) - step.time_to_s(0.1) == Approx(2.1972245773 * tau));
  CHECK(step.value(tau) == Approx(0.6321205588));  // 1 - 1/e
  CHECK(step.time_to_s(0.1) == Approx(0.1053605157 * tau));
  CHECK(step.time_to_s(0.5) == Approx(0.6931471806 * tau));
}

TEST_CASE("an s-curve keeps its 10-90 % time, is even about its middle and never early") {
  const StepResponse step(Rise::kSCurve, 0.006);
  CHECK(step.time_to_s(0.9) - step.time_to_s(0.1) == Approx(0.006));
  CHECK(step.value(step.time_to_s(0.5)) == Approx(0.5));
  CHECK(step.value(step.time_to_s(0.25)) == Approx(0.25));
  CHECK(step.value(0.0) == 0.0);
  CHECK(step.value(-1.0) == 0.0);
  CHECK(step.value(1.0) == 1.0);
}

TEST_CASE("the integral of a step is that of its values") {
  for (const Rise kind : {Rise::kFirstOrder, Rise::kSCurve}) {
    const StepResponse step(kind, 0.004);
    for (const double to_s : {0.0001, 0.001, 0.004, 0.02}) {
      CHECK(step.integral_s(to_s) == Approx(integral(step, to_s)).epsilon(1e-8));
    }
    CHECK(step.integral_s(-0.5) == 0.0);
  }
}

TEST_CASE("a step without a rise time is perfect") {
  for (const Rise kind : {Rise::kFirstOrder, Rise::kSCurve}) {
    const StepResponse step(kind, 0.0);
    CHECK(step.value(1e-12) == 1.0);
    CHECK(step.integral_s(0.25) == Approx(0.25));
    CHECK(step.time_to_s(0.1) == 0.0);
  }
}
