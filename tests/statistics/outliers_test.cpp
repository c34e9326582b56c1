#include "analysis/statistics/outliers.hpp"

#include "harness/session/error.hpp"
#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;
using thumblight::test::reference_json;

TEST_CASE("The 90 values of e-Handbook 7.1.6: one mild outlier, none extreme") {
  // Values and finding from memory (count, median and quartiles come out as printed there). The
  // page's quartiles are at (N + 1) p: its inner fences are -39 and 1211, ours of type 7 a little
  // tighter.
  const std::vector<double> values{
      30,  171, 184, 201, 212, 250, 265, 270, 272, 289, 305, 306, 322, 322, 336,  346,  351,  370,
      390, 404, 409, 411, 436, 437, 439, 441, 444, 448, 451, 453, 470, 480, 482,  487,  494,  495,
      499, 503, 514, 521, 522, 527, 548, 550, 559, 560, 570, 572, 574, 578, 585,  592,  592,  607,
      616, 618, 621, 629, 637, 638, 640, 656, 668, 707, 709, 719, 737, 739, 752,  758,  766,  792,
      792, 794, 802, 818, 830, 832, 843, 858, 860, 869, 918, 925, 953, 991, 1000, 1005, 1068, 1441};
  REQUIRE(values.size() == 90);
  const auto report = flag_outliers(values);
  REQUIRE(report->outliers.size() == 1);
  CHECK(report->outliers[0].index == 89);
  CHECK(report->outliers[0].value == 1441);
  CHECK(report->outliers[0].kind == OutlierKind::kMild);
  CHECK(report->fences.lower_inner == Approx(-39).margin(25));
  CHECK(report->fences.upper_inner == Approx(1211).margin(25));
}

TEST_CASE("Gross outliers are flagged by their place, and nothing is dropped") {
  const auto set = reference_json("scipy/d3_outliers.json");
  const auto values = set.at("inputs").at("a").get<std::vector<double>>();
  const auto report = flag_outliers(values);
  std::vector<double> extreme;
  for (const Outlier& outlier : report->outliers) {
    CHECK(values.at(outlier.index) == outlier.value);
    if (outlier.kind == OutlierKind::kExtreme) {
      extreme.push_back(outlier.value);
    }
  }
  CHECK(extreme == std::vector<double>{148.6, 71.8, 96.3});
  // Fences by hand from SciPy's quartiles 59.8 and 62.65.
  CHECK(report->fences.upper_inner == Approx(62.65 + 1.5 * 2.85));
  CHECK(report->fences.lower_outer == Approx(59.8 - 3 * 2.85));
}

TEST_CASE("Values one frame apart are no outliers of a camera") {
  std::vector<double> values(40, 50.0);
  values[3] = 54.167;
  values[7] = 45.833;
  values[20] = 83.333;
  CHECK(flag_outliers(values)->outliers.size() == 3);
  const auto with_frame = flag_outliers(values, 4.167);
  REQUIRE(with_frame->outliers.size() == 1);
  CHECK(with_frame->outliers[0].index == 20);
}

TEST_CASE("Values that are equal but for rounding are no outliers of each other") {
  std::vector<double> values(20, 0.1 + 0.2);
  values[4] = 0.3;
  CHECK(flag_outliers(values)->outliers.empty());
}

TEST_CASE("Few and equal values") {
  CHECK_FALSE(flag_outliers({}));
  CHECK_FALSE(flag_outliers(std::vector<double>{1, 2, 300}));
  CHECK(flag_outliers(std::vector<double>(5, 2.5))->outliers.empty());
  CHECK_THROWS_AS(flag_outliers(std::vector<double>(5, 2.5), -1), thumblight::Error);
}
