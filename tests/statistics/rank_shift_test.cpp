#include "analysis/statistics/rank_shift.hpp"

#include <algorithm>

#include "analysis/statistics/bounded_draw.hpp"
#include "analysis/statistics/ordered_double.hpp"
#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;
using thumblight::test::reference_group;
using thumblight::test::reference_json;

TEST_CASE("Shift, exact and normal interval agree with SciPy's null and R's rule") {
  for (const std::string name : {"d1_small_no_ties", "d2_quantised_ties", "d3_outliers"}) {
    CAPTURE(name);
    const auto set = reference_json("scipy/" + name + ".json");
    const auto& expected = set.at("outputs").at("rank_tests_a_vs_b").at("hodges_lehmann");
    const auto found = hodges_lehmann_shift(set.at("inputs").at("a").get<std::vector<double>>(),
                                            set.at("inputs").at("b").get<std::vector<double>>());
    REQUIRE(found);
    REQUIRE(found->exact);
    REQUIRE(found->normal);
    CHECK(found->shift ==
          Approx(expected.at("shift_median_of_pairwise_a_minus_b").get<double>()).epsilon(1e-13));
    CHECK(found->exact->low_index == expected.at("exact_order_index_1based_low").get<unsigned>());
    CHECK(*found->exact->achieved_level ==
          Approx(expected.at("achieved_confidence").get<double>()).epsilon(1e-12));
    CHECK(found->exact->interval.low == expected.at("ci95_exact_null")[0].get<double>());
    CHECK(found->exact->interval.high == expected.at("ci95_exact_null")[1].get<double>());
    CHECK(found->normal->low_index == expected.at("normal_order_index_1based_low").get<unsigned>());
    CHECK(found->normal->interval.low == expected.at("ci95_normal_order")[0].get<double>());
    CHECK(found->normal->interval.high == expected.at("ci95_normal_order")[1].get<double>());
    CHECK(found->best()->low_index == found->exact->low_index);
  }
}

TEST_CASE("Wafers of e-Handbook 7.3.5: shift B - A is 0.06 (SciPy, computed)") {
  const auto shift = hodges_lehmann_shift(reference_group("nist/wafer_mannwhitney.csv", "B"),
                                          reference_group("nist/wafer_mannwhitney.csv", "A"));
  CHECK(shift->shift == Approx(0.06).epsilon(1e-12));
}

TEST_CASE("Picking a difference by its rank is the same as sorting them all") {
  BoundedDraw draw(9);
  for (const auto& [m, n] : {std::pair{1U, 1U}, {4U, 7U}, {60U, 80U}}) {
    std::vector<double> a;
    std::vector<double> b;
    for (unsigned i = 0; i < m; ++i) {
      a.push_back(0.1 * draw.below(500) - 20);
    }
    for (unsigned i = 0; i < n; ++i) {
      b.push_back(0.3 * draw.below(150));
    }
    std::vector<double> all;
    for (const double of_a : a) {
      for (const double of_b : b) {
        all.push_back(of_a - of_b);
      }
    }
    std::sort(all.begin(), all.end());
    const std::size_t half = all.size() / 2;
    const double middle = all.size() % 2 == 1 ? all[half] : (all[half - 1] + all[half]) / 2;
    const auto shift = hodges_lehmann_shift(a, b);
    CHECK(shift->shift == Approx(middle).epsilon(1e-14).margin(1e-14));
    if (shift->normal) {
      CHECK(shift->normal->interval.low == all[shift->normal->low_index - 1]);
      CHECK(shift->normal->interval.high == all[all.size() - shift->normal->low_index]);
    }
  }
}

TEST_CASE("Swap, shift and scale") {
  const std::vector<double> a{12, 15, 11, 18, 14, 13};
  const std::vector<double> b{22, 19, 25, 21, 17};
  std::vector<double> late_a;
  late_a.reserve(a.size());
  for (const double value : a) {
    late_a.push_back(value + 8);
  }
  const auto forth = hodges_lehmann_shift(a, b);
  const auto back = hodges_lehmann_shift(b, a);
  CHECK(forth->shift == -back->shift);
  CHECK(forth->exact->interval.low == -back->exact->interval.high);
  CHECK(hodges_lehmann_shift(late_a, b)->shift == forth->shift + 8);
}

TEST_CASE("Few presses give a shift but no interval that they do not carry") {
  const std::vector<double> none;
  const std::vector<double> three{1, 2, 3};
  CHECK_FALSE(hodges_lehmann_shift(none, three));
  // Three against three: even all nine differences reach 1 - 2/20 = 90 % only.
  const auto few = hodges_lehmann_shift(three, std::vector<double>{5, 6, 7});
  CHECK(few->shift == -4);
  CHECK_FALSE(few->exact);
  CHECK_FALSE(few->best());
  CHECK(hodges_lehmann_shift(three, std::vector<double>{5, 6, 7}, 0.9)->exact);
  const std::vector<double> equal(20, 3.0);
  CHECK(hodges_lehmann_shift(equal, equal)->shift == 0);
  CHECK(hodges_lehmann_shift(equal, equal)->best()->interval.half_width() == 0);
}

TEST_CASE("Above the exact limit the normal interval serves") {
  BoundedDraw draw(4);
  std::vector<double> a;
  std::vector<double> b;
  for (int i = 0; i < 3000; ++i) {
    a.push_back(50 + 0.01 * draw.below(1000));
    b.push_back(53 + 0.01 * draw.below(1000));
  }
  const auto shift = hodges_lehmann_shift(a, b);
  CHECK_FALSE(shift->exact);
  CHECK(shift->best()->interval.low < -3);
  CHECK(shift->best()->interval.high > -3);
  CHECK(shift->best()->interval.half_width() < 0.2);
}

TEST_CASE("Bisection over doubles ends on the very double") {
  for (const double edge : {-7.25, -1e-300, 0.0, 5e-324, 0.1, 1e17}) {
    CHECK(least_double_that(-1e18, 1e18, [&](double v) { return v >= edge; }) == edge);
  }
}
