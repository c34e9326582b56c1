#include <cmath>
#include <cstdio>
#include <string>

#include "tests/matrix/matrix.hpp"
#include "tests/support/temporary_folder.hpp"

/// Runs the whole matrix and prints a line for each condition, in milliseconds.
namespace {

void print(const char* name, const thumblight::test::Tally& tally) {
  std::printf(" | %s %+6.3f %5.3f %5.3f %3.0f%%", name, 1e3 * tally.bias_s, 1e3 * tally.sd_s,
              1e3 * tally.mean_u_s, 100 * tally.covered);
}

bool meets(const thumblight::test::Cell& cell) {
  const bool lamp = cell.settings.lamp.on_button;
  const bool light =
      std::abs(cell.light.bias_s) <= allowed_bias_s(cell) && cell.light.sd_s <= allowed_sd_s(cell);
  const bool press = lamp ? std::abs(cell.press.bias_s) <= allowed_bias_s(cell) &&
                                cell.press.sd_s <= allowed_sd_s(cell)
                          : std::abs(cell.press.bias_s) <= 4e-3 && cell.press.within == 1;
  return cell.fault.empty() && cell.missed == 0 && cell.invented == 0 && light && press;
}

}  // namespace

int main() {
  std::printf("%-28s n missed invented | kind bias sd u |error|<=2u\n", "condition");
  for (thumblight::test::Cell& cell : thumblight::test::matrix_cells(false)) {
    const thumblight::test::TemporaryFolder folder;
    run_cell(cell, folder.path() / "session");
    std::printf("%-28s %d %d %d", cell.name.c_str(), cell.expected, cell.missed, cell.invented);
    print("light", cell.light);
    print("press", cell.press);
    print("total", cell.total);
    std::printf(" | %s %s\n", meets(cell) ? "met" : "MISSED", cell.fault.c_str());
    std::fflush(stdout);
  }
  return 0;
}
