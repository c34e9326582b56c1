#include "analysis/statistics/mean_difference.hpp"

#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;
using thumblight::test::reference_group;
using thumblight::test::reference_json;
using thumblight::test::to_digits;

TEST_CASE("AUTO83B of e-Handbook 1.3.5.3: pooled t") {
  const auto us = reference_group("nist/auto83b.csv", "US");
  const auto japan = reference_group("nist/auto83b.csv", "Japan");
  const auto pooled = pooled_difference(us, japan);
  // Printed (seen).
  CHECK(*pooled->t == Approx(-12.62059).margin(5e-6));
  CHECK(*pooled->dof == 326);
  CHECK(pooled->interval.low == Approx(-11.947653).margin(5e-7));
  CHECK(pooled->interval.high == Approx(-8.725216).margin(5e-7));
  // SciPy and R (computed).
  CHECK(*pooled->t == to_digits(-12.620591288724363, 13));
  CHECK(*pooled->p == to_digits(5.27293545661e-30, 10));
}

TEST_CASE("AUTO83B: Welch") {
  const auto us = reference_group("nist/auto83b.csv", "US");
  const auto japan = reference_group("nist/auto83b.csv", "Japan");
  const auto welch = welch_difference(us, japan);
  // Boost.Math's documentation on the same data (seen).
  CHECK(*welch->t == Approx(-12.94627).margin(5e-6));
  CHECK(*welch->dof == Approx(136.87499).margin(2e-5));
  CHECK(*welch->p == to_digits(1.571e-25, 3));
  // SciPy, R and mpmath (computed).
  CHECK(*welch->t == to_digits(-12.946273274932006, 13));
  CHECK(*welch->dof == to_digits(136.87497667258336, 13));
  CHECK(*welch->p == to_digits(1.5708547843e-25, 10));
  CHECK(welch->interval.low == to_digits(-11.91524809464, 11));
  CHECK(welch->interval.high == to_digits(-8.75762059531, 11));
}

TEST_CASE("Welch and pooled t agree with SciPy on quantised and on wild values") {
  for (const std::string name : {"d1_small_no_ties", "d2_quantised_ties", "d3_outliers"}) {
    CAPTURE(name);
    const auto set = reference_json("scipy/" + name + ".json");
    const auto a = set.at("inputs").at("a").get<std::vector<double>>();
    const auto b = set.at("inputs").at("b").get<std::vector<double>>();
    const auto& expected = set.at("outputs").at("t_tests");
    const auto welch = welch_difference(a, b);
    const auto& of_welch = expected.at("welch");
    CHECK(welch->difference ==
          to_digits(expected.at("difference_of_means_a_minus_b").get<double>(), 12));
    CHECK(welch->standard_error == to_digits(of_welch.at("se").get<double>(), 12));
    CHECK(*welch->t == to_digits(of_welch.at("t").get<double>(), 12));
    CHECK(*welch->dof == to_digits(of_welch.at("dof").get<double>(), 12));
    CHECK(*welch->p == to_digits(of_welch.at("p_two_sided").get<double>(), 11));
    CHECK(welch->interval.low == to_digits(of_welch.at("ci95")[0].get<double>(), 12));
    CHECK(welch->interval.high == to_digits(of_welch.at("ci95")[1].get<double>(), 12));
    const auto pooled = pooled_difference(a, b);
    const auto& of_pooled = expected.at("pooled");
    CHECK(*pooled->t == to_digits(of_pooled.at("t").get<double>(), 12));
    CHECK(*pooled->p == to_digits(of_pooled.at("p_two_sided").get<double>(), 11));
    CHECK(pooled->interval.low == Approx(of_pooled.at("ci95")[0].get<double>()).epsilon(1e-8));
  }
}

TEST_CASE("Swapping the samples turns the sign, and scale goes through") {
  const std::vector<double> a{12, 15, 11, 18, 14};
  const std::vector<double> b{22, 19, 25, 21};
  const auto forth = welch_difference(a, b);
  const auto back = welch_difference(b, a);
  CHECK(forth->difference == Approx(-back->difference));
  CHECK(*forth->t == Approx(-*back->t));
  CHECK(*forth->p == Approx(*back->p));
  CHECK(forth->interval.low == Approx(-back->interval.high));
  std::vector<double> small_a;
  std::vector<double> small_b;
  small_a.reserve(a.size());
  small_b.reserve(b.size());
  for (const double value : a) {
    small_a.push_back(value * 1e-120);
  }
  for (const double value : b) {
    small_b.push_back(value * 1e-120);
  }
  const auto small = welch_difference(small_a, small_b);
  CHECK(*small->dof == Approx(*forth->dof));
  CHECK(*small->t == Approx(*forth->t));
}

TEST_CASE("Little or no scatter gives absent figures, never a division by zero") {
  const std::vector<double> none;
  const std::vector<double> one{4};
  const std::vector<double> two{4, 6};
  CHECK_FALSE(welch_difference(none, two));
  CHECK_FALSE(welch_difference(two, one));
  CHECK_FALSE(pooled_difference(one, one));
  const std::vector<double> still_a(5, 50.0);
  const std::vector<double> still_b(7, 46.0);
  const auto still = welch_difference(still_a, still_b);
  CHECK(still->difference == 4);
  CHECK(still->standard_error == 0);
  CHECK_FALSE(still->dof);
  CHECK_FALSE(still->t);
  CHECK_FALSE(still->p);
  CHECK(still->interval.half_width() == 0);
  const auto half_still = welch_difference(still_a, two);
  CHECK(*half_still->dof == Approx(1));
}
