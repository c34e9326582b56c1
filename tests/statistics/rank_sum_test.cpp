#include "analysis/statistics/rank_sum.hpp"

#include <cmath>

#include "analysis/statistics/bounded_draw.hpp"
#include "analysis/statistics/distributions.hpp"
#include "analysis/statistics/rank_null.hpp"
#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;
using thumblight::test::reference_group;
using thumblight::test::reference_json;
using thumblight::test::to_digits;

TEST_CASE("Wafers of e-Handbook 7.3.5") {
  const auto a = reference_group("nist/wafer_mannwhitney.csv", "A");
  const auto b = reference_group("nist/wafer_mannwhitney.csv", "B");
  const auto test = rank_sum_test(a, b);
  CHECK(test->u_a == 40);
  CHECK(test->u_b == 81);
  CHECK(test->mean_u == 60.5);  // printed (seen)
  // The page's z is 1.346133, probability .910870 (seen): its deviation is not corrected for ties.
  const double z = (test->u_b - test->mean_u) / std::sqrt(rank_sum_variance(11, 11));
  CHECK(z == Approx(1.346133).margin(5e-7));
  CHECK(normal_cdf(z) == Approx(0.910870).margin(5e-7));
  // Corrected, without and with continuity: SciPy (computed).
  CHECK(*test->p_asymptotic == Approx(0.1776465).margin(5e-8));
  CHECK(*test->p_continuity == Approx(0.1884568).margin(5e-8));
  CHECK(test->ties);
  CHECK_FALSE(test->p_exact);
}

TEST_CASE("AUTO83B: many ties, unequal sizes") {
  const auto test = rank_sum_test(reference_group("nist/auto83b.csv", "US"),
                                  reference_group("nist/auto83b.csv", "Japan"));
  CHECK(test->u_a == 2521.5);                                   // SciPy and R (computed)
  CHECK(*test->p_continuity == to_digits(2.070329397e-23, 9));  // SciPy and R (computed)
}

TEST_CASE("U, its deviation and probabilities agree with SciPy") {
  for (const std::string name : {"d1_small_no_ties", "d2_quantised_ties", "d3_outliers"}) {
    CAPTURE(name);
    const auto set = reference_json("scipy/" + name + ".json");
    const auto a = set.at("inputs").at("a").get<std::vector<double>>();
    const auto b = set.at("inputs").at("b").get<std::vector<double>>();
    const auto& expected = set.at("outputs").at("rank_tests_a_vs_b");
    const auto test = rank_sum_test(a, b);
    CHECK(test->ties == expected.at("has_ties").get<bool>());
    CHECK(test->u_a == expected.at("U_a").get<double>());
    CHECK(test->u_b == expected.at("U_b").get<double>());
    CHECK(test->sd_u == to_digits(expected.at("sd_U_tie_corrected").get<double>(), 13));
    CHECK(*test->z == to_digits(expected.at("z_no_continuity").get<double>(), 12));
    CHECK(*test->p_asymptotic ==
          to_digits(expected.at("p_asymptotic_no_continuity").get<double>(), 11));
    CHECK(*test->p_continuity ==
          to_digits(expected.at("p_asymptotic_continuity").get<double>(), 11));
    if (!test->ties) {
      CHECK(*test->p_exact == to_digits(expected.at("p_exact_ignoring_ties").get<double>(), 12));
    }
    const double greater =
        expected.at("common_language_effect_P_a_gt_b_plus_half_ties").get<double>();
    CHECK(probability_a_faster(a, b)->estimate == Approx(1 - greater).epsilon(1e-12));
  }
}

TEST_CASE("A tiny set with ties") {
  const auto set = reference_json("scipy/d4_tiny_permutation.json");
  const auto test = rank_sum_test(set.at("inputs").at("a").get<std::vector<double>>(),
                                  set.at("inputs").at("b").get<std::vector<double>>());
  const auto& expected = set.at("outputs");
  CHECK(test->u_a == expected.at("U_a_midranks").get<double>());
  CHECK(*test->p_continuity == to_digits(expected.at("p_asymptotic_continuity").get<double>(), 11));
}

TEST_CASE("The exact distribution of U: whole, symmetric, and as listed by hand") {
  // m = n = 3: 20 arrangements, U = 0 ... 9 in 1 1 2 3 3 3 3 2 1 1 of them (Mann and Whitney 1947).
  const std::vector<double> listed{1, 2, 4, 7, 10, 13, 16, 18, 19, 20};
  const auto cdf = rank_sum_null_cdf(3, 3);
  REQUIRE(cdf.size() == listed.size());
  for (std::size_t u = 0; u < cdf.size(); ++u) {
    CHECK(cdf[u] == Approx(listed[u] / 20).epsilon(1e-14));
  }
  const auto large = rank_sum_null_cdf(50, 41);
  CHECK(large.back() == Approx(1).epsilon(1e-12));
  CHECK(large[1024] + large[50 * 41 - 1024 - 1] == Approx(1).epsilon(1e-12));
  CHECK(rank_sum_null_cdf(12, 14)[23] == Approx(rank_sum_null_cdf(14, 12)[23]).epsilon(1e-13));
}

TEST_CASE("Swapping the samples swaps U and turns z") {
  const std::vector<double> a{1, 4, 4, 9};
  const std::vector<double> b{2, 4, 7};
  const auto forth = rank_sum_test(a, b);
  const auto back = rank_sum_test(b, a);
  CHECK(forth->u_a == back->u_b);
  CHECK(*forth->z == Approx(-*back->z));
  const auto faster = probability_a_faster(a, b);
  const auto slower = probability_a_faster(b, a);
  CHECK(faster->estimate == Approx(1 - slower->estimate));
  CHECK(faster->interval.low == Approx(1 - slower->interval.high));
}

TEST_CASE("Equal and empty samples") {
  const std::vector<double> none;
  const std::vector<double> equal(6, 1.5);
  CHECK_FALSE(rank_sum_test(none, equal));
  CHECK_FALSE(probability_a_faster(equal, none));
  const auto test = rank_sum_test(equal, equal);
  CHECK(test->u_a == 18);
  CHECK(test->sd_u == 0);
  CHECK_FALSE(test->z);
  CHECK_FALSE(test->p_asymptotic);
  CHECK_FALSE(test->p_continuity);
  CHECK(probability_a_faster(equal, equal)->estimate == 0.5);
}

TEST_CASE("One press each: Wilson's interval for one trial") {
  // Wilson 1927 for 1 of 1: from 1 / (1 + z^2) to 1.
  const auto found = probability_a_faster(std::vector<double>{1}, std::vector<double>{2});
  const double z = 1.959963984540054;
  CHECK(found->estimate == 1);
  CHECK(found->interval.low == Approx(1 / (1 + z * z)));
  CHECK(found->interval.high == 1);
}

TEST_CASE("The interval of the probability holds the truth about as often as it says") {
  // Whole numbers 0 to 9 against 3 to 12: by counting the pairs, P(a < b) + P(a = b) / 2 = 0.755.
  double truth = 0;
  for (int a = 0; a < 10; ++a) {
    for (int b = 3; b < 13; ++b) {
      truth += (a < b ? 1.0 : a == b ? 0.5 : 0.0) / 100;
    }
  }
  CHECK(truth == Approx(0.755));
  BoundedDraw draw(3);
  int held = 0;
  constexpr int kRounds = 2000;
  for (int round = 0; round < kRounds; ++round) {
    std::vector<double> a;
    std::vector<double> b;
    for (int i = 0; i < 20; ++i) {
      a.push_back(draw.below(10));
      b.push_back(3 + draw.below(10));
    }
    const auto interval = probability_a_faster(a, b)->interval;
    held += interval.low <= truth && truth <= interval.high ? 1 : 0;
  }
  CHECK(held > 0.93 * kRounds);
  CHECK(held < 0.98 * kRounds);
}
