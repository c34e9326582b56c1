#include "analysis/statistics/bootstrap.hpp"

#include <array>
#include <limits>
#include <random>

#include "analysis/statistics/bounded_draw.hpp"
#include "harness/session/error.hpp"
#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;
using thumblight::test::reference_json;

namespace {

constexpr BootstrapPlan kManyResamples{.resamples = 99'999, .seed = 7, .level = 0.95};

/// An end within the range that 20 seeds gave, widened on either side by that range: one more seed
/// lies outside the range of 20 rather often.
void check_end(double end, const nlohmann::json& range) {
  const double low = range[0].get<double>();
  const double high = range[1].get<double>();
  const double slack = (high - low) + 1e-9;
  CHECK(end >= low - slack);
  CHECK(end <= high + slack);
}

}  // namespace

TEST_CASE("The numbers behind the resamples are those of the standard, mapped evenly") {
  // C++ standard [rand.predef]: the 10000th number of a default mt19937_64.
  std::mt19937_64 engine;
  engine.discard(9'999);
  CHECK(engine() == 9'981'545'732'273'789'042ULL);

  std::array<int, 7> counts{};
  BoundedDraw draw(1);
  for (int i = 0; i < 70'000; ++i) {
    ++counts.at(draw.below(7));
  }
  for (const int count : counts) {
    CHECK(std::abs(count - 10'000) < 500);  // five standard deviations
  }
  CHECK(draw.below(1) == 0);
}

TEST_CASE("The first draws of a seed are fixed by hand") {
  std::mt19937_64 engine(42);
  BoundedDraw draw(42);
  for (int i = 0; i < 10; ++i) {
    const std::uint64_t whole = engine();
    CHECK(draw.below(1000) == ((whole >> 32U) * 1000U) >> 32U);
    CHECK(draw.below(1000) == ((whole & 0xFFFFFFFFU) * 1000U) >> 32U);
  }
}

TEST_CASE("BCa intervals of the mean lie within the seed ranges of SciPy") {
  for (const std::string name : {"d1_small_no_ties", "d2_quantised_ties", "d3_outliers"}) {
    const auto set = reference_json("scipy/" + name + ".json");
    for (const std::string sample : {"a", "b"}) {
      CAPTURE(name, sample);
      const auto& expected = set.at("outputs").at("bca_" + sample).at("mean");
      const auto found = bca_interval(set.at("inputs").at(sample).get<std::vector<double>>(),
                                      mean_statistic, kManyResamples);
      REQUIRE(found);
      check_end(found->interval.low, expected.at("bca_low_range"));
      if (name != "d2_quantised_ties" || sample != "a") {  // next to a step: see the next case
        check_end(found->interval.high, expected.at("bca_high_range"));
      }
      CHECK(found->estimate == Approx(expected.at("estimate").get<double>()).epsilon(1e-14));
      CHECK(found->acceleration ==
            Approx(expected.at("acceleration").get<double>()).epsilon(1e-9).margin(1e-13));
      CHECK(found->standard_error ==
            Approx(expected.at("scipy_standard_error").get<double>()).epsilon(0.02));
    }
  }
}

TEST_CASE("Resamples of quantised values that equal the estimate count half") {
  // Exact distribution of the sum of 25 draws from d2.a, in whole numbers (computed): P(less)
  // 0.4939484, P(equal) 0.0180531, so z0 = 0.0074572, and the ends of the interval are 54.3334
  // and 58.33348.
  const auto set = reference_json("scipy/d2_quantised_ties.json");
  const auto values = set.at("inputs").at("a").get<std::vector<double>>();
  const auto found =
      bca_interval(values, mean_statistic, {.resamples = 1'000'000, .seed = 7, .level = 0.95});
  CHECK(found->bias_correction == Approx(0.0074572).margin(0.004));  // three standard deviations
  CHECK(found->interval.low == Approx(54.3334).margin(1e-4));
  // The upper share lies within 0.0001 of a step from 58.3336 to 58.4997: either side may come out.
  CHECK(found->interval.high > 58.3330);
  CHECK(found->interval.high < 58.5001);
}

TEST_CASE("BCa intervals of the median end at the same values as SciPy's") {
  for (const std::string name : {"d1_small_no_ties", "d2_quantised_ties", "d3_outliers"}) {
    const auto set = reference_json("scipy/" + name + ".json");
    for (const std::string sample : {"a", "b"}) {
      CAPTURE(name, sample);
      const auto& expected = set.at("outputs").at("bca_" + sample).at("median");
      const auto found = bca_interval(set.at("inputs").at(sample).get<std::vector<double>>(),
                                      median_statistic, kManyResamples);
      REQUIRE(found);
      CHECK(found->interval.low == Approx(expected.at("bca_low_mean").get<double>()));
      CHECK(found->interval.high == Approx(expected.at("bca_high_mean").get<double>()));
    }
  }
}

TEST_CASE("BCa interval of the example in SciPy's tests (R boot, 10^6 resamples)") {
  const std::vector<double> x{10, 12,   12.5, 12.5, 13.9, 15,  21,  22,
                              23, 34.0, 50,   81,   89,   121, 134, 213};
  const auto found =
      bca_interval(x, mean_statistic, {.resamples = 1'000'000, .seed = 7, .level = 0.95});
  CHECK(found->interval.low == Approx(32.31).epsilon(0.005));   // seen, tolerance 0.5 %
  CHECK(found->interval.high == Approx(91.43).epsilon(0.005));  // seen, tolerance 0.5 %
}

TEST_CASE("The same seed gives the same interval, another seed another") {
  const std::vector<double> values{12.1, 14.9, 13.3, 18.2, 12.7, 15.5, 13.9};
  const auto once = bca_interval(values, mean_statistic);
  const auto again = bca_interval(values, mean_statistic);
  CHECK(once->interval.low == again->interval.low);
  CHECK(once->interval.high == again->interval.high);
  const auto other = bca_interval(values, mean_statistic, {.resamples = 10'000, .seed = 2});
  CHECK(once->standard_error != other->standard_error);
  CHECK(once->seed == BootstrapPlan{}.seed);
}

TEST_CASE("The interval moves and stretches with the values") {
  const std::vector<double> values{12, 14, 13, 18, 12, 15, 14, 30};
  std::vector<double> moved;
  moved.reserve(values.size());
  for (const double value : values) {
    moved.push_back(4 * value + 1024);
  }
  const auto plain = bca_interval(values, mean_statistic);
  const auto other = bca_interval(moved, mean_statistic);
  CHECK(other->interval.low == Approx(4 * plain->interval.low + 1024).epsilon(1e-12));
  CHECK(other->interval.high == Approx(4 * plain->interval.high + 1024).epsilon(1e-12));
}

TEST_CASE("What cannot be resampled is absent or refused") {
  CHECK_FALSE(bca_interval({}, mean_statistic));
  CHECK_FALSE(bca_interval(std::vector<double>{5}, mean_statistic));
  const std::vector<double> equal(12, 4.25);
  CHECK(bca_interval(equal, mean_statistic)->interval.half_width() == 0);
  const std::vector<double> values{1, 2, 3};
  CHECK_THROWS_AS(bca_interval(values, mean_statistic, {.resamples = 99}), thumblight::Error);
  CHECK_THROWS_AS(
      bca_interval(values, [](auto) { return std::numeric_limits<double>::infinity(); }),
      thumblight::Error);
}

TEST_CASE("Where no resample passes the estimate there is no corrected interval") {
  const std::vector<double> values{1, 2, 3, 4, 5, 6, 7, 8};
  int calls = 0;
  const auto falling = [&calls](std::span<const double>) { return static_cast<double>(-calls++); };
  CHECK_FALSE(bca_interval(values, falling));
}
