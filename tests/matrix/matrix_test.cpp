#include "tests/matrix/matrix.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "tests/support/temporary_folder.hpp"

using namespace thumblight;

TEST_CASE("rehearsed films are read within the promised bounds") {
  for (test::Cell& cell : test::matrix_cells(true)) {
    const test::TemporaryFolder folder;
    test::run_cell(cell, folder.path() / "session");
    INFO(cell.name << ' ' << cell.fault);
    CHECK(cell.fault.empty());
    CHECK(cell.missed == 0);
    CHECK(cell.invented == 0);
    CHECK(cell.press.n == cell.expected);
    CHECK(std::abs(cell.light.bias_s) <= test::allowed_bias_s(cell));
    CHECK(cell.light.sd_s <= test::allowed_sd_s(cell));
    CHECK(cell.light.covered >= 0.8);
    if (cell.settings.lamp.on_button) {
      CHECK(std::abs(cell.press.bias_s) <= test::allowed_bias_s(cell));
      CHECK(cell.press.sd_s <= test::allowed_sd_s(cell));
      CHECK(cell.total.covered >= 0.8);
    } else {
      CHECK(std::abs(cell.press.bias_s) <= 4e-3);
      CHECK(cell.press.within == 1);
    }
  }
}
