#include "tests/bench/pixel_observer.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

#include "tests/bench/clock.hpp"
#include "tests/bench/punctuality.hpp"

namespace thumblight::bench {

double LevelChange::u_ns() const {
  return static_cast<double>(after_ns - before_ns) / std::sqrt(12.0);
}

std::vector<LevelChange> changes_of(const std::vector<LevelChange>& changes, std::size_t pixel) {
  std::vector<LevelChange> result;
  std::copy_if(changes.begin(), changes.end(), std::back_inserter(result),
               [pixel](const LevelChange& change) { return change.pixel == pixel; });
  return result;
}

PixelObserver::PixelObserver(std::vector<PixelAddress> pixels, int halfway_level)
    : pixels_(std::move(pixels)), halfway_level_(halfway_level) {
  thread_ = std::thread([this] { watch(); });
  while (!watching_) {
    sleep_ns(kPauseNs);
  }
}

PixelObserver::~PixelObserver() {
  stop();
}

void PixelObserver::stop() {
  stopping_ = true;
  if (thread_.joinable()) {
    thread_.join();
  }
}

std::vector<LevelChange> PixelObserver::changes() const {
  const std::lock_guard<std::mutex> lock(mutex_);
  return changes_;
}

void PixelObserver::watch() {
  rate_.realtime = ask_for_punctuality();
  const std::int64_t start_ns = monotonic_raw_ns();
  std::int64_t earlier_ns = start_ns;
  std::vector<bool> bright;
  for (const PixelAddress pixel : pixels_) {
    bright.push_back(level_of(*pixel) > halfway_level_);
  }
  watching_ = true;
  while (!stopping_) {
    const std::int64_t sample_ns = monotonic_raw_ns();
    for (std::size_t index = 0; index < pixels_.size(); ++index) {
      if (const bool is_bright = level_of(*pixels_[index]) > halfway_level_;
          is_bright != bright[index]) {
        bright[index] = is_bright;
        const std::lock_guard<std::mutex> lock(mutex_);
        changes_.push_back({index, is_bright, earlier_ns, monotonic_raw_ns()});
      }
    }
    ++rate_.samples;
    rate_.largest_gap_ns = std::max(rate_.largest_gap_ns, sample_ns - earlier_ns);
    earlier_ns = sample_ns;
    sleep_ns(kPauseNs);
  }
  rate_.rate_hz = static_cast<double>(rate_.samples) * 1e9 /
                  static_cast<double>(std::max<std::int64_t>(1, monotonic_raw_ns() - start_ns));
}

}  // namespace thumblight::bench
