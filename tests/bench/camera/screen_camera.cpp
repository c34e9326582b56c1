#include "tests/bench/camera/screen_camera.hpp"

#include <algorithm>
#include <cmath>

#include "tests/bench/clock.hpp"
#include "tests/bench/punctuality.hpp"

namespace thumblight::bench {
namespace {

/// Left out at the start, while memory is touched for the first time.
constexpr std::int64_t kWarmUpNs = 100 * kNsPerMs;

}  // namespace

ScreenCamera::ScreenCamera(const Framebuffer& screen, double rate_hz, PictureQueue& queue)
    : screen_(screen), interval_ns_(std::llround(1e9 / rate_hz)), queue_(queue) {
  thread_ = std::thread([this] { film(); });
}

ScreenCamera::~ScreenCamera() {
  stop();
  if (thread_.joinable()) {
    thread_.join();
  }
}

CameraCounts ScreenCamera::finish() {
  thread_.join();
  return counts_;
}

void ScreenCamera::film() {
  counts_.realtime = ask_for_punctuality();
  std::int64_t due_ns = monotonic_raw_ns() + kWarmUpNs;
  while (!stopping_) {
    sleep_ns(due_ns - monotonic_raw_ns());
    take_picture();
    const std::int64_t late = (monotonic_raw_ns() - due_ns) / interval_ns_;
    counts_.late += late;
    due_ns += (late + 1) * interval_ns_;
  }
  queue_.close();
}

void ScreenCamera::take_picture() {
  ScreenPicture* picture = queue_.free_place();
  if (picture == nullptr) {
    ++counts_.unheld;
    return;
  }
  copy_to(*picture);
  if (picture->after_ns - picture->before_ns > kLongestCopyNs) {
    ++counts_.torn;
    return;
  }
  if (last_ns_ != 0) {
    counts_.longest_gap_ns = std::max(counts_.longest_gap_ns, picture->instant_ns() - last_ns_);
  }
  last_ns_ = picture->instant_ns();
  counts_.copy_ns.push_back(picture->after_ns - picture->before_ns);
  ++counts_.filmed;
  queue_.push();
}

void ScreenCamera::copy_to(ScreenPicture& picture) {
  std::uint32_t* to = picture.pixels.data();
  picture.before_ns = monotonic_raw_ns();
  for (int y = 0; y < screen_.height(); ++y) {
    const PixelAddress row = screen_.at(0, y);
    to = std::copy(row, row + screen_.width(), to);
  }
  picture.after_ns = monotonic_raw_ns();
}

}  // namespace thumblight::bench
