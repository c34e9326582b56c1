#include "analysis/statistics/moments.hpp"

#include <limits>

#include "harness/session/error.hpp"
#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;
using thumblight::test::reference_json;
using thumblight::test::reference_numbers;
using thumblight::test::to_digits;

namespace {

/// Digits of the SD and of the lag-1 correlation that the values, once rounded to doubles, still
/// carry: 0.1 beside 10^6 and 10^7 in NumAcc3 and NumAcc4.
int digits_of_spread(const std::string& name) {
  return name == "NumAcc4" ? 8 : name == "NumAcc3" ? 9 : 13;
}

long double sd_in_long_double(const std::vector<double>& values) {
  long double sum = 0;
  for (const double value : values) {
    sum += value;
  }
  const long double mean = sum / static_cast<long double>(values.size());
  long double squares = 0;
  for (const double value : values) {
    squares += (value - mean) * (value - mean);
  }
  return std::sqrt(squares / static_cast<long double>(values.size() - 1));
}

}  // namespace

TEST_CASE("NIST StRD univariate sets: certified mean, SD and lag-1 correlation") {
  const auto certified = reference_json("nist/strd_certified.json").at("univariate");
  REQUIRE(certified.size() == 9);
  for (const auto& [name, set] : certified.items()) {
    CAPTURE(name);
    const std::vector<double> values = reference_numbers("nist/" + name + ".txt");
    const Moments sample = moments(values);
    REQUIRE(sample.n() == set.at("n").get<std::size_t>());
    CHECK(*sample.mean() == to_digits(std::stod(set.at("mean").get<std::string>()), 14));
    CHECK(*sample.sd() ==
          to_digits(std::stod(set.at("sd_ddof1").get<std::string>()), digits_of_spread(name)));
    CHECK(*lag1_autocorrelation(values) ==
          to_digits(std::stod(set.at("lag1_autocorrelation").get<std::string>()),
                    std::min(12, digits_of_spread(name))));
  }
}

TEST_CASE("A large common part costs no digits beyond those of the doubles") {
  for (const std::string name : {"NumAcc3", "NumAcc4"}) {
    const std::vector<double> values = reference_numbers("nist/" + name + ".txt");
    CHECK(*moments(values).sd() == to_digits(static_cast<double>(sd_in_long_double(values)), 12));
  }
  // What R prints for NumAcc4 (seen).
  CHECK(*moments(reference_numbers("nist/NumAcc4.txt")).sd() == to_digits(0.100000000558794, 14));
}

TEST_CASE("Moments of little or nothing are absent") {
  Moments none;
  CHECK_FALSE(none.mean());
  CHECK_FALSE(none.sd());
  const Moments one = moments(std::vector<double>{7.5});
  CHECK(one.mean() == 7.5);
  CHECK_FALSE(one.sd());
  CHECK_FALSE(one.standard_error());
  CHECK_FALSE(lag1_autocorrelation({}));
  CHECK_FALSE(lag1_autocorrelation(std::vector<double>{1.0}));
  CHECK_FALSE(lag1_autocorrelation(std::vector<double>{4.2, 4.2, 4.2}));
  CHECK(moments(std::vector<double>{4.2, 4.2, 4.2}).sd() == 0.0);
}

TEST_CASE("A value that is no number is refused by its place") {
  const std::vector<double> values{1, 2, std::numeric_limits<double>::quiet_NaN()};
  CHECK_THROWS_AS(moments(values), thumblight::Error);
  CHECK_THROWS_WITH(moments(values), Catch::Contains("value 3 of 3"));
  CHECK_THROWS_AS(moments(std::vector<double>{1e200}), thumblight::Error);
}
