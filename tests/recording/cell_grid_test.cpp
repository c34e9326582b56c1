#include "analysis/recording/cell_grid.hpp"

#include <catch2/catch.hpp>
#include <random>

#include "analysis/recording/cell_store.hpp"
#include "analysis/recording/transfer.hpp"

using namespace thumblight::recording;

TEST_CASE("cell means equal the plain mean of linear light") {
  const int width = 150;
  const int height = 70;
  std::mt19937 engine(1);
  std::vector<std::uint8_t> codes(static_cast<std::size_t>(width * height));
  for (std::uint8_t& code : codes) {
    code = static_cast<std::uint8_t>(16 + engine() % 220);
  }
  const GridLayout layout = grid_for(width, height);
  CellGrid grid(layout, Coding{});
  const std::vector<float>& means = grid.measure({codes.data(), width, width, height, 8});
  REQUIRE(static_cast<int>(means.size()) == layout.cells());
  for (int cell = 0; cell < layout.cells(); ++cell) {
    double sum = 0;
    int count = 0;
    const int x0 = cell % layout.columns * layout.cell_px;
    const int y0 = cell / layout.columns * layout.cell_px;
    for (int y = y0; y < std::min(y0 + layout.cell_px, height); ++y) {
      for (int x = x0; x < std::min(x0 + layout.cell_px, width); ++x) {
        sum += signal_to_linear(
            code_to_signal(codes[static_cast<std::size_t>(y * width + x)], 8, false), 1);
        ++count;
      }
    }
    CHECK(static_cast<double>(means[static_cast<std::size_t>(cell)]) ==
          Approx(sum / count).epsilon(1e-4));
  }
}

TEST_CASE("a grid covers pictures of any size") {
  for (const auto& [width, height] : {std::pair{1, 1}, std::pair{7, 3}, std::pair{1920, 1080},
                                      std::pair{1080, 1920}, std::pair{3840, 2160}}) {
    const GridLayout layout = grid_for(width, height);
    CHECK(layout.columns * layout.cell_px >= width);
    CHECK((layout.columns - 1) * layout.cell_px < width);
    CHECK(layout.rows * layout.cell_px >= height);
    CHECK(layout.columns <= 64);
    CHECK(layout.centre_x(layout.cells() - 1) < width);
  }
}

TEST_CASE("stored levels come back in any order") {
  CellStore store(3, 1.0);
  for (int i = 0; i < 100; ++i) {
    store.append({static_cast<float>(i) / 100, 0.25F, 2.0F});
  }
  CHECK(store.frames() == 100);
  const std::vector<float> late = store.read(98, 2);
  CHECK(static_cast<double>(late[0]) == Approx(0.98).epsilon(1e-4));
  CHECK(static_cast<double>(late[5]) == Approx(1.0));  // clipped
  CHECK(static_cast<double>(store.read(7, 1)[0]) == Approx(0.07).epsilon(1e-3));
  store.append({0.5F, 0.5F, 0.5F});
  CHECK(static_cast<double>(store.read(100, 1)[1]) == Approx(0.5).epsilon(1e-4));
}
