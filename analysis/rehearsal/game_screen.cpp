#include "analysis/rehearsal/game_screen.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::rehearsal {

namespace {

constexpr std::size_t kKept = 8;

int pixels(double low, double high, int most) {
  return static_cast<int>(std::min<double>(std::ceil(high), most)) -
         static_cast<int>(std::max(std::floor(low), 0.0));
}

}  // namespace

GameScreen::GameScreen(const Truth& truth, const Region& screen, int width, int height)
    : game_(truth.settings.game, truth.settings.seed, truth.refresh, truth.presses),
      panel_(make_panel(truth)),
      response_(truth.settings.display.rise, truth.settings.display.rise_s),
      refresh_(truth.refresh),
      screen_(screen),
      scan_(truth.settings.display.scan),
      left_(static_cast<int>(std::max(std::floor(screen.x), 0.0))),
      top_(static_cast<int>(std::max(std::floor(screen.y), 0.0))),
      width_(pixels(screen.x, screen.x + screen.w, width)),
      height_(pixels(screen.y, screen.y + screen.h, height)) {}

const std::vector<float>& GameScreen::picture(std::int64_t refresh) {
  const auto known = pictures_.find(refresh);
  if (known != pictures_.end()) {
    return known->second;
  }
  while (pictures_.size() >= kKept) {
    pictures_.erase(pictures_.begin());
  }
  std::vector<float>& levels = pictures_[refresh];
  levels.reserve(static_cast<std::size_t>(width_) * height_);
  for (int row = 0; row < height_; ++row) {
    for (int column = 0; column < width_; ++column) {
      const double x = left_ + column - screen_.x;
      const double y = top_ + row - screen_.y;
      // What lies beyond the screen's edge is cut off.
      const ScreenBox part{std::max(x, 0.0) / screen_.w, std::max(y, 0.0) / screen_.h,
                           std::min(x + 1.0, screen_.w) / screen_.w,
                           std::min(y + 1.0, screen_.h) / screen_.h};
      const double share =
          (part.right - part.left) * (part.bottom - part.top) * screen_.w * screen_.h;
      levels.push_back(static_cast<float>(share * game_.level(refresh, part)));
    }
  }
  return levels;
}

/// Superposition: each picture replaces the one before it by a step of its own.
std::vector<GameScreen::Part> GameScreen::parts(double way, double from_s, double to_s) const {
  const auto start_s = [&](std::int64_t n) {
    return panel_.row_start_s(refresh_.phase_s + static_cast<double>(n) * refresh_.interval_s, way);
  };
  auto n = static_cast<std::int64_t>((to_s - refresh_.phase_s) / refresh_.interval_s) + 1;
  while (start_s(n) >= to_s) {
    --n;
  }
  std::vector<Part> found;
  double later = 0.0;
  for (;; --n) {
    const double begun_s = start_s(n);
    const bool settled = from_s - begun_s >= response_.settled_s();
    const double share =
        settled ? 1.0
                : (response_.integral_s(to_s - begun_s) - response_.integral_s(from_s - begun_s)) /
                      (to_s - from_s);
    found.push_back({n, share - later});
    later = share;
    if (settled || found.size() + 1 >= kKept) {
      found.back().weight += 1.0 - share;
      return found;
    }
  }
}

void GameScreen::add(int row, int left, int right, double from_s, double to_s, float* line) {
  if (row < top_ || row >= top_ + height_) {
    return;
  }
  const double down = std::clamp((row + 0.5 - screen_.y) / screen_.h, 0.0, 1.0);
  const double way = scan_ == ScanDirection::kUp ? 1.0 - down : down;
  const int first = std::max(left, left_);
  const int last = std::min(right, left_ + width_);
  for (const Part& part : parts(way, from_s, to_s)) {
    const float* levels =
        picture(part.refresh).data() + static_cast<std::ptrdiff_t>(row - top_) * width_;
    const auto weight = static_cast<float>(part.weight);
    for (int x = first; x < last; ++x) {
      line[x] += weight * levels[x - left_];
    }
  }
}

}  // namespace thumblight::rehearsal
