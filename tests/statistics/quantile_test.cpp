#include "analysis/statistics/quantile.hpp"

#include "harness/session/error.hpp"
#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;
using thumblight::test::reference_json;
using thumblight::test::to_digits;

TEST_CASE("Type-7 quantiles, median and MAD agree with SciPy and R") {
  for (const std::string name : {"d1_small_no_ties", "d2_quantised_ties", "d3_outliers"}) {
    const auto set = reference_json("scipy/" + name + ".json");
    for (const std::string sample : {"a", "b"}) {
      CAPTURE(name, sample);
      const auto values = set.at("inputs").at(sample).get<std::vector<double>>();
      const auto& expected = set.at("outputs").at("describe_" + sample);
      for (const auto& [p, value] : expected.at("quantiles_type7").items()) {
        CHECK(*quantile(values, std::stod(p)) == to_digits(value.get<double>(), 14));
      }
      CHECK(*median(values) == to_digits(expected.at("median").get<double>(), 14));
      CHECK(*median_absolute_deviation(values) ==
            to_digits(expected.at("mad_raw").get<double>(), 13));
      CHECK(kMadToSd * *median_absolute_deviation(values) ==
            to_digits(expected.at("mad_scaled_1.4826").get<double>(), 13));
    }
  }
}

TEST_CASE("Quantiles at the ends of what can be asked") {
  CHECK_FALSE(quantile({}, 0.5));
  CHECK_FALSE(median({}));
  CHECK_FALSE(median_absolute_deviation({}));
  const std::vector<double> one{3.5};
  CHECK(quantile(one, 0.0) == 3.5);
  CHECK(quantile(one, 0.95) == 3.5);
  CHECK(median_absolute_deviation(one) == 0.0);
  CHECK_THROWS_AS(quantile(one, 1.01), thumblight::Error);
  CHECK_THROWS_AS(quantile(one, std::nan("")), thumblight::Error);
}

TEST_CASE("Quantiles follow a shift and a change of scale, and turn with the sign") {
  const std::vector<double> values{4, 8, 15, 16, 23, 42, 42};
  std::vector<double> moved;
  std::vector<double> turned;
  for (const double value : values) {
    moved.push_back(2 * value + 100);
    turned.push_back(-value);
  }
  for (const double p : {0.0, 0.05, 0.3, 0.5, 0.95, 1.0}) {
    CHECK(*quantile(moved, p) == Approx(2 * *quantile(values, p) + 100));
    CHECK(*quantile(turned, p) == Approx(-*quantile(values, 1 - p)));
  }
}
