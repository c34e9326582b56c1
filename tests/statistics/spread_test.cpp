#include "analysis/statistics/spread.hpp"

#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;
using thumblight::test::reference_group;
using thumblight::test::reference_json;
using thumblight::test::to_digits;

TEST_CASE("GEAR of e-Handbook 1.3.5.10") {
  std::vector<std::vector<double>> batches;
  for (int batch = 1; batch <= 10; ++batch) {
    batches.push_back(reference_group("nist/gear.csv", std::to_string(batch)));
  }
  const auto test =
      brown_forsythe_test(std::vector<std::span<const double>>(batches.begin(), batches.end()));
  // Printed 1.705910 and p .0991 (seen); doubles give 1.7059176930008937 (SciPy, computed).
  CHECK(test->w == Approx(1.705910).margin(1e-5));
  CHECK(test->p == Approx(0.0991).margin(5e-5));
  CHECK(test->w == to_digits(1.7059176930008937, 10));
  CHECK(test->p == to_digits(0.09908297555, 9));
  CHECK(test->dof_between == 9);
  CHECK(test->dof_within == 90);
}

TEST_CASE("AUTO83B and the SciPy sets") {
  const auto us = reference_group("nist/auto83b.csv", "US");
  const auto japan = reference_group("nist/auto83b.csv", "Japan");
  CHECK(brown_forsythe_test({us, japan})->w == to_digits(0.162451226135, 11));  // SciPy and R
  for (const std::string name : {"d1_small_no_ties", "d2_quantised_ties", "d3_outliers"}) {
    CAPTURE(name);
    const auto set = reference_json("scipy/" + name + ".json");
    const auto a = set.at("inputs").at("a").get<std::vector<double>>();
    const auto b = set.at("inputs").at("b").get<std::vector<double>>();
    const auto& expected =
        set.at("outputs").at("variance_tests").at("brown_forsythe_center_median");
    const auto test = brown_forsythe_test({a, b});
    CHECK(test->w == to_digits(expected.at("W").get<double>(), 11));
    CHECK(test->p == to_digits(expected.at("p").get<double>(), 11));
  }
}

TEST_CASE("No spread test without groups or without spread") {
  const std::vector<double> none;
  const std::vector<double> one{4};
  const std::vector<double> some{4, 6, 9};
  const std::vector<double> equal(5, 2.0);
  CHECK_FALSE(brown_forsythe_test({}));
  CHECK_FALSE(brown_forsythe_test({some}));
  CHECK_FALSE(brown_forsythe_test({some, none}));
  CHECK_FALSE(brown_forsythe_test({one, one}));
  CHECK_FALSE(brown_forsythe_test({equal, equal}));
  CHECK(brown_forsythe_test({some, equal}));
  // Of two values both are as far from the median, but for rounding: that is no evidence.
  const std::vector<double> two{1000.1, 1002.3};
  const std::vector<double> two_more{4.2, 4.9};
  CHECK_FALSE(brown_forsythe_test({two, two_more}));
}
