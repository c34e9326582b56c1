#include "analysis/statistics/covering.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using namespace thumblight::statistics;

TEST_CASE("A rectangular doubt alone is covered by 1.65 of its standard uncertainties") {
  // JCGM 100:2008, G.2.2 and the calibration laboratories' guide EA-4/02 M:2022, S9 (from memory).
  CHECK(covering_half_width(0, 1) == Approx(0.95));
  CHECK(covering_half_width(0, 1) * std::sqrt(3.0) == Approx(1.65).margin(0.005));
  CHECK(covering_half_width(1, 0) == Approx(1.959964).margin(1e-6));
}

TEST_CASE("Both together are covered as often as stated") {
  std::mt19937 random(11);
  std::normal_distribution<double> normal(0, 1);
  std::uniform_real_distribution<double> within(-1, 1);
  for (const double half_width : {0.01, 0.5, 1.0, 3.0, 20.0}) {
    const double reach = covering_half_width(1, half_width);
    int covered = 0;
    constexpr int kDraws = 100'000;
    for (int k = 0; k < kDraws; ++k) {
      covered += std::abs(normal(random) + half_width * within(random)) <= reach ? 1 : 0;
    }
    INFO("half-width " << half_width);
    // Five standard deviations of the count.
    CHECK(covered == Approx(0.95 * kDraws).margin(5 * std::sqrt(0.95 * 0.05 * kDraws)));
  }
}

TEST_CASE("It runs smoothly into either alone") {
  CHECK(covering_half_width(1, 2e-4) == Approx(covering_half_width(1, 0)).epsilon(1e-4));
  CHECK(covering_half_width(2e-4, 1) == Approx(covering_half_width(0, 1)).epsilon(1e-3));
  CHECK(covering_half_width(0, 0) == 0);
}

TEST_CASE("A budget keeps Student's t for what was counted, and the largest rectangle as it is") {
  BudgetLine scatter;
  scatter.source = "scatter";
  scatter.distribution = Distribution::kStudentT;
  scatter.standard_uncertainty = 2;
  scatter.dof = 9;
  scatter.shrinks_with_n = true;
  BudgetLine clock;
  clock.source = "clock link";
  clock.distribution = Distribution::kRectangular;
  clock.standard_uncertainty = 3 / std::sqrt(3.0);
  const Budget alone = *make_budget({scatter}, 10);
  CHECK(covering_half_width(alone) == alone.expanded);
  const Budget both = *make_budget({scatter, clock}, 10);
  const double sd = alone.expanded / 1.959964;
  CHECK(covering_half_width(both) == Approx(covering_half_width(sd, 3)).epsilon(1e-6));
  CHECK(covering_half_width(both) < both.expanded);
  const Budget rectangle = *make_budget({clock}, 10);
  CHECK(covering_half_width(rectangle) == Approx(0.95 * 3));
}
