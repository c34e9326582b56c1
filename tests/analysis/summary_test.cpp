#include "analysis/statistics/summary.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <iterator>
#include <limits>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

using namespace thumblight::statistics;
using nlohmann::json;

namespace {

const std::string kData = THUMBLIGHT_TESTS_DIR "/../data/";

json read_json(const std::string& file) {
  std::ifstream input(kData + file);
  REQUIRE(input);
  return json::parse(input);
}

std::vector<double> read_numbers(const std::string& file) {
  std::ifstream input(kData + file);
  REQUIRE(input);
  return {std::istream_iterator<double>(input), {}};
}

/// The relative error that a standard deviation may have: the certified digits, and what rounding
/// the data to doubles does to data whose mean is many times their spread.
double tolerance_of(double mean, double sd) {
  return 2e-14 + std::numeric_limits<double>::epsilon() * std::abs(mean) / sd;
}

}  // namespace

TEST_CASE("mean and standard deviation agree with certified values") {
  // NIST Statistical Reference Datasets, univariate summary statistics, certified values (15
  // digits); the sets as published.
  const json sets = read_json("nist/strd_univariate.json").at("univariate");
  REQUIRE(sets.size() == 9);
  for (const auto& [name, certified] : sets.items()) {
    INFO(name);
    const std::optional<Summary> summary = summarise(read_numbers("nist/" + name + ".txt"));
    REQUIRE(summary);
    CHECK(summary->n == certified.at("n"));
    const double mean = std::stod(certified.at("mean").get<std::string>());
    const double sd = std::stod(certified.at("sd_ddof1").get<std::string>());
    CHECK(std::abs(summary->mean - mean) <= 2e-14 * std::abs(mean));
    CHECK(std::abs(*summary->sd - sd) <= tolerance_of(mean, sd) * sd);
  }
}

TEST_CASE("intervals and quantiles agree with a reference library") {
  // SciPy 1.10.1 and NumPy 1.24.2 on invented data: t interval of the mean, quantiles of type 7.
  const std::string set = GENERATE("d1_small_no_ties", "d2_quantised_ties", "d3_outliers");
  const std::string sample = GENERATE("a", "b");
  INFO(set << " " << sample);
  const json file = read_json("scipy/" + set + ".json");
  auto values = file.at("inputs").at(sample).get<std::vector<double>>();
  const json expected = file.at("outputs").at("describe_" + sample);
  const auto close = [](const json& value) { return Approx(value.get<double>()).epsilon(1e-12); };
  const std::optional<Summary> summary = summarise(values);
  REQUIRE(summary);
  CHECK(summary->n == expected.at("n"));
  CHECK(summary->mean == close(expected.at("mean")));
  CHECK(*summary->sd == close(expected.at("sd_ddof1")));
  CHECK(summary->median == close(expected.at("median")));
  CHECK(summary->min == close(expected.at("min")));
  CHECK(summary->max == close(expected.at("max")));
  CHECK(summary->p05 == close(expected.at("quantiles_type7").at("0.05")));
  CHECK(summary->p95 == close(expected.at("quantiles_type7").at("0.95")));
  // SciPy 1.10.1 gives Student's t to nine digits alone (for 38 degrees of freedom 2.0243941646,
  // where the true value is 2.0243941639), so its intervals are no finer.
  for (const std::size_t end : {std::size_t{0}, std::size_t{1}}) {
    const double limit = end == 0 ? summary->ci95->low : summary->ci95->high;
    CHECK(limit == Approx(expected.at("t_ci95_mean").at(end).get<double>()).epsilon(1e-9));
  }
  std::sort(values.begin(), values.end());
  for (const auto& [p, quantile_ms] : expected.at("quantiles_type7").items()) {
    INFO(p);
    CHECK(quantile(values, std::stod(p)) == close(quantile_ms));
  }
}

TEST_CASE("no value has no summary, and one has neither spread nor interval") {
  CHECK_FALSE(summarise({}));
  const std::optional<Summary> one = summarise({41.5});
  REQUIRE(one);
  CHECK(one->n == 1);
  CHECK(one->mean == 41.5);
  CHECK(one->median == 41.5);
  CHECK(one->p05 == 41.5);
  CHECK(one->p95 == 41.5);
  CHECK_FALSE(one->sd);
  CHECK_FALSE(one->ci95);
}

TEST_CASE("the interval of two values is that of one degree of freedom") {
  // t(0.975; 1) = tan(0.475 pi) = 12.7062047: the distribution is Cauchy's, in closed form.
  const std::optional<Summary> two = summarise({10, 12});
  CHECK(two->ci95->high - two->mean == Approx(std::tan(0.475 * std::acos(-1.0))).epsilon(1e-12));
}

TEST_CASE("the interval of 39 values has Student's factor to every digit") {
  // t(0.975; 38) from the incomplete beta function in 30 digits (mpmath).
  std::vector<double> values;
  for (int k = 0; k < 39; ++k) {
    values.push_back(k * k);
  }
  const Summary summary = *summarise(values);
  const double half = (summary.ci95->high - summary.ci95->low) / 2;
  CHECK(half * std::sqrt(39.0) / *summary.sd == Approx(2.02439416391196964).epsilon(1e-13));
}

TEST_CASE("equal values have a spread of 0, not an unknown one") {
  const std::optional<Summary> equal = summarise(std::vector<double>(7, 0.1));
  CHECK(equal->sd == 0.0);
  CHECK(equal->ci95->low == equal->ci95->high);
}

TEST_CASE("a shift moves the summary and a scale stretches it") {
  const std::vector<double> values = {3, 1, 4, 1, 5, 9, 2, 6};
  std::vector<double> moved;
  for (const double value : values) {
    moved.push_back(4096 - 2 * value);
  }
  const Summary a = *summarise(values);
  const Summary b = *summarise(moved);
  CHECK(b.mean == Approx(4096 - 2 * a.mean).epsilon(1e-15));
  CHECK(*b.sd == Approx(2 * *a.sd).epsilon(1e-12));
  CHECK(b.p05 == Approx(4096 - 2 * a.p95).epsilon(1e-15));
  CHECK(b.ci95->low == Approx(4096 - 2 * a.ci95->high).epsilon(1e-14));
}
