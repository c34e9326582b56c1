#include "analysis/statistics/multiple_tests.hpp"

#include "harness/session/error.hpp"
#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;

TEST_CASE("Holm's adjustment of a textbook's four probabilities (from memory)") {
  const auto adjusted = holm_adjusted(std::vector<double>{0.01, 0.04, 0.03, 0.005});
  REQUIRE(adjusted.size() == 4);
  CHECK(adjusted[0] == Approx(0.03));
  CHECK(adjusted[1] == Approx(0.06));  // not 0.04: never below the one before it
  CHECK(adjusted[2] == Approx(0.06));
  CHECK(adjusted[3] == Approx(0.02));
}

TEST_CASE("Holm at its ends") {
  CHECK(holm_adjusted({}).empty());
  CHECK(holm_adjusted(std::vector<double>{0.2}) == std::vector<double>{0.2});
  CHECK(holm_adjusted(std::vector<double>{0.9, 0.8, 1.0}) == std::vector<double>{1, 1, 1});
  CHECK(holm_adjusted(std::vector<double>{0.01, 0.01}) == std::vector<double>{0.02, 0.02});
  CHECK_THROWS_AS(holm_adjusted(std::vector<double>{0.5, 1.2}), thumblight::Error);
  CHECK_THROWS_AS(holm_adjusted(std::vector<double>{std::nan("")}), thumblight::Error);
}
