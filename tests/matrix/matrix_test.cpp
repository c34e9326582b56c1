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
    CHECK(cell.expected == condition.settings.press.count);
    CHECK(test::broken_promises(cell) == std::vector<std::string>{});
  }
}

TEST_CASE("a coverage is believed or not by how many instants speak for it") {
  CHECK(test::covers_honestly(96, 100));
  CHECK(test::covers_honestly(24, 24));
  CHECK_FALSE(test::covers_honestly(1000, 1000));
  CHECK_FALSE(test::covers_honestly(80, 100));
  CHECK_FALSE(test::covers_honestly(0, 0));
}
