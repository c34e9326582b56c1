#include <catch2/catch.hpp>

#include "tests/matrix/limits.hpp"
#include "tests/matrix/matrix.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;

TEST_CASE("rehearsed films are read within the promised bounds") {
  for (const test::Condition& condition : test::fast_conditions()) {
    const test::TemporaryFolder folder;
    test::RunOptions options;
    options.folder = folder.path();
    const test::Cell cell = test::run_cell(condition, options);
    INFO(condition.name);
    INFO("light: bias " << cell.light.bias_s() << " s, SD " << cell.light.sd_s() << " s, u "
                        << cell.light.film_means().front().u_s << " s");
    INFO("press: bias " << cell.press.bias_s() << " s, SD " << cell.press.sd_s() << " s, u "
                        << cell.press.film_means().front().u_s << " s");
    CHECK(cell.expected == condition.settings.press.count);
    CHECK(test::broken_promises(cell) == std::vector<std::string>{});
  }
}

TEST_CASE("a coverage is believed or not by how many instants speak for it") {
  CHECK(test::covers_honestly(0.96, 100));
  CHECK(test::covers_honestly(1, 24));
  CHECK_FALSE(test::covers_honestly(1, 1000));
  CHECK_FALSE(test::covers_honestly(0.8, 100));
  CHECK_FALSE(test::covers_honestly(0, 0));
  // Of three films that are wrong or right as wholes, two may be right.
  CHECK(test::covers_honestly(0.667, 3));
  CHECK_FALSE(test::covers_honestly(0.3, 3.5));
  // Normal quantiles for 0.975 and for 1 - 0.025 / 6.
  CHECK(test::allowed_shift(1) == Approx(1.959964));
  CHECK(test::allowed_shift(6) == Approx(2.638257));
}
