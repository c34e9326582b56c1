#include "tests/bench/camera/screen_camera.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "harness/session/error.hpp"
#include "tests/bench/clock.hpp"
#include "tests/bench/punctuality.hpp"

namespace thumblight::bench {
namespace {

/// Left out at the start, while memory is touched for the first time.
constexpr std::int64_t kWarmUpNs = 100 * kNsPerMs;

}  // namespace

ScreenCamera::ScreenCamera(const Framebuffer& screen, double rate_hz)
    : screen_(screen),
      interval_ns_(std::llround(1e9 / rate_hz)),
      copy_(static_cast<std::size_t>(screen.width()) * screen.height()) {}

ScreenFilm ScreenCamera::film(const std::atomic<bool>& stopping,
                              const std::function<void(std::int64_t)>& begun) {
  ScreenFilm film;
  film.realtime = ask_for_punctuality();
  bool has_begun = false;
  std::int64_t due_ns = monotonic_raw_ns() + kWarmUpNs;
  while (!stopping) {
    sleep_ns(due_ns - monotonic_raw_ns());
    take_picture(film);
    const std::int64_t late = (monotonic_raw_ns() - due_ns) / interval_ns_;
    film.late += late;
    due_ns += (late + 1) * interval_ns_;
    if (!has_begun && !film.pictures.empty()) {
      has_begun = true;
      begun(film.pictures.front().instant_ns);
    }
  }
  return film;
}

void ScreenCamera::take_picture(ScreenFilm& film) {
  std::uint32_t* to = copy_.data();
  const std::int64_t before_ns = monotonic_raw_ns();
  for (int y = 0; y < screen_.height(); ++y) {
    const PixelAddress row = screen_.at(0, y);
    to = std::copy(row, row + screen_.width(), to);
  }
  const std::int64_t taken_ns = monotonic_raw_ns() - before_ns;
  if (taken_ns > kLongestCopyNs) {
    ++film.torn;
    return;
  }
  if (film.images.empty() || film.images.back() != copy_) {
    if (film.images.size() == kMostImages) {
      throw Error("the screen changed " + std::to_string(kMostImages) +
                  " times, and no more can be kept; film a shorter session");
    }
    film.images.push_back(copy_);
  }
  film.pictures.push_back({before_ns + taken_ns / 2, film.images.size() - 1});
  film.copy_ns.push_back(taken_ns);
}

}  // namespace thumblight::bench
