#include "analysis/recording/cell_grid.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "analysis/recording/cell_store.hpp"
#include "analysis/recording/transfer.hpp"

using namespace thumblight::recording;

namespace {

struct Moments {
  double mean = 0;
  double deviation = 0;
};

/// A picture of random codes and the moments of its linear light, cell by cell, by every pixel.
struct Noise {
  int width;
  int height;
  std::vector<std::uint8_t> codes;

  Noise(int w, int h) : width(w), height(h), codes(static_cast<std::size_t>(w * h)) {
    std::mt19937 engine(1);
    for (std::uint8_t& code : codes) {
      code = static_cast<std::uint8_t>(16 + engine() % 220);
    }
  }

  LumaPlane luma() const { return {codes.data(), width, width, height, 8}; }

  Moments in_cell(const GridLayout& layout, int cell) const {
    double sum = 0;
    double squares = 0;
    int count = 0;
    const int x0 = cell % layout.columns * layout.cell_px;
    const int y0 = cell / layout.columns * layout.cell_px;
    for (int y = y0; y < std::min(y0 + layout.cell_px, height); ++y) {
      for (int x = x0; x < std::min(x0 + layout.cell_px, width); ++x) {
        const double light = signal_to_linear(
            code_to_signal(codes[static_cast<std::size_t>(y * width + x)], 8, false), 1);
        sum += light;
        squares += light * light;
        ++count;
      }
    }
    const double mean = sum / count;
    return {mean, std::sqrt(squares / count - mean * mean)};
  }
};

}  // namespace

TEST_CASE("cell means equal the plain mean of linear light") {
  const Noise noise(150, 70);
  const GridLayout layout = grid_for(noise.width, noise.height);
  CellGrid grid(layout, Coding{});
  const std::vector<float>& means = grid.measure(noise.luma());
  REQUIRE(static_cast<int>(means.size()) == layout.cells());
  for (int cell = 0; cell < layout.cells(); ++cell) {
    CHECK(static_cast<double>(means[static_cast<std::size_t>(cell)]) ==
          Approx(noise.in_cell(layout, cell).mean).epsilon(1e-4));
  }
}

TEST_CASE("cells of large pictures are told by a hundred samples or more, spread evenly") {
  for (const auto& [width, height] :
       {std::pair{1280, 720}, std::pair{1920, 1080}, std::pair{3840, 2160}}) {
    const Noise noise(width, height);
    const GridLayout layout = grid_for(width, height);
    CellGrid grid(layout, Coding{});
    const std::vector<float>& means = grid.measure(noise.luma());
    double squares = 0;
    int whole = 0;
    // Whole cells alone: those at the picture's end hold fewer pixels.
    for (int cell = 0; cell < layout.cells() - layout.columns; ++cell) {
      const Moments moments = noise.in_cell(layout, cell);
      const double off = static_cast<double>(means[static_cast<std::size_t>(cell)]) - moments.mean;
      squares += off * off / (moments.deviation * moments.deviation);
      ++whole;
    }
    // The variance of a mean of n independent samples is one nth of theirs.
    CHECK(squares / whole < 1.0 / 100);
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
