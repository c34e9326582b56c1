#include "analysis/statistics/summary.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>

using namespace thumblight;
using nlohmann::json;
using statistics::summarise;
using statistics::Summary;

namespace {

const std::string kData = THUMBLIGHT_DATA_DIR;

json load_json(const std::string& name) {
  std::ifstream file(kData + "/" + name);
  REQUIRE(file.good());
  return json::parse(file);
}

std::vector<double> load_numbers(const std::string& name) {
  std::ifstream file(kData + "/" + name);
  REQUIRE(file.good());
  return {std::istream_iterator<double>(file), std::istream_iterator<double>()};
}

double relative_error(double found, double certified) {
  return std::abs(found - certified) / std::abs(certified);
}

}  // namespace

// NIST Statistical Reference Datasets, univariate summary statistics: certified mean and standard
// deviation to 15 digits. The inputs of NumAcc3 and NumAcc4 are rounded to doubles themselves,
// which leaves 1e-9 and 1e-8 of their deviation of 0.1.
TEST_CASE("NIST StRD: mean and standard deviation to the digits that doubles carry") {
  const json certified = load_json("nist/strd_certified.json")["univariate"];
  const std::map<std::string, double> sd_tolerance = {
      {"Lew", 1e-14},      {"Lottery", 1e-14}, {"Mavro", 1e-12},
      {"Michelso", 1e-12}, {"NumAcc1", 1e-15}, {"NumAcc2", 1e-13},
      {"NumAcc3", 1e-9},   {"NumAcc4", 1e-8},  {"PiDigits", 1e-13}};
  for (const auto& [set, tolerance] : sd_tolerance) {
    INFO(set);
    const std::vector<double> values = load_numbers("nist/" + set + ".txt");
    REQUIRE(values.size() == certified[set]["n"].get<std::size_t>());
    const Summary summary = *summarise(values);
    CHECK(relative_error(summary.mean, std::stod(certified[set]["mean"].get<std::string>())) <
          1e-14);
    CHECK(relative_error(*summary.sd, std::stod(certified[set]["sd_ddof1"].get<std::string>())) <
          tolerance);
  }
}

// SciPy 1.10.1 on invented data; its t quantile is off by up to 4.6e-9, so intervals to 1e-8.
TEST_CASE("SciPy: quantiles of type 7 and t intervals") {
  for (const char* set : {"d1_small_no_ties", "d2_quantised_ties", "d3_outliers"}) {
    const json reference = load_json(std::string("scipy/") + set + ".json");
    for (const std::string side : {"a", "b"}) {
      INFO(set << " " << side);
      const std::vector<double> values = reference["inputs"][side].get<std::vector<double>>();
      const json& expected = reference["outputs"]["describe_" + side];
      const Summary summary = *summarise(values);
      CHECK(summary.n == expected["n"].get<std::size_t>());
      CHECK(summary.mean == Approx(expected["mean"].get<double>()).epsilon(1e-14));
      CHECK(*summary.sd == Approx(expected["sd_ddof1"].get<double>()).epsilon(1e-13));
      CHECK(summary.median == Approx(expected["median"].get<double>()).epsilon(1e-14));
      CHECK(summary.min == expected["min"].get<double>());
      CHECK(summary.max == expected["max"].get<double>());
      CHECK(summary.p05 ==
            Approx(expected["quantiles_type7"]["0.05"].get<double>()).epsilon(1e-14));
      CHECK(summary.p95 ==
            Approx(expected["quantiles_type7"]["0.95"].get<double>()).epsilon(1e-14));
      CHECK(summary.ci95->low == Approx(expected["t_ci95_mean"][0].get<double>()).epsilon(1e-8));
      CHECK(summary.ci95->high == Approx(expected["t_ci95_mean"][1].get<double>()).epsilon(1e-8));
    }
  }
}

// mpmath 1.2.1, 17 digits. Of n values, half of them 1 and half -1, the SD is sqrt(n / (n - 1)).
TEST_CASE("mpmath: the quantile of Student's t behind the interval") {
  const json quantiles = load_json("scipy/quantiles_mpmath.json")["student_t_ppf"]["0.975"];
  for (const int degrees : {1, 3, 5, 7, 9, 15}) {
    const int n = degrees + 1;
    std::vector<double> values;
    for (int k = 0; k < n; ++k) {
      values.push_back(k % 2 == 0 ? 1 : -1);
    }
    const Summary summary = *summarise(values);
    const double expected = std::stod(quantiles[std::to_string(degrees)].get<std::string>());
    INFO(degrees << " degrees of freedom");
    CHECK(summary.ci95->high * std::sqrt(n) / *summary.sd == Approx(expected).epsilon(1e-12));
  }
}

TEST_CASE("no value, one value, equal values") {
  CHECK_FALSE(summarise({}));
  const Summary one = *summarise({42.5});
  CHECK(one.mean == 42.5);
  CHECK(one.median == 42.5);
  CHECK(one.p05 == 42.5);
  CHECK_FALSE(one.sd);
  CHECK_FALSE(one.ci95);
  const Summary equal = *summarise({7.1, 7.1, 7.1});
  CHECK(equal.mean == 7.1);
  CHECK(equal.sd == 0.0);
  CHECK(equal.ci95->low == equal.ci95->high);
}

TEST_CASE("a shift moves the places and not the spread") {
  const std::vector<double> values = {3, 1, 4, 1, 5, 9, 2, 6};
  std::vector<double> moved = values;
  for (double& value : moved) {
    value += 1024;
  }
  const Summary a = *summarise(values);
  const Summary b = *summarise(moved);
  CHECK(b.mean - a.mean == Approx(1024));
  CHECK(b.p95 - a.p95 == Approx(1024));
  CHECK(*b.sd == Approx(*a.sd).epsilon(1e-12));
}
