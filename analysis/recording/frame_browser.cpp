#include "analysis/recording/frame_browser.hpp"

#include <algorithm>
#include <utility>

extern "C" {
#include <libavutil/frame.h>
}

namespace thumblight::recording {
namespace {

/// What a decoded frame occupies.
std::size_t bytes_of(const AVFrame& frame) {
  std::size_t bytes = 0;
  for (const AVBufferRef* buffer : frame.buf) {
    bytes += buffer != nullptr ? buffer->size : 0;
  }
  return std::max<std::size_t>(bytes, 1);
}

std::size_t most_frames(PlacedReader& reader, std::size_t bytes) {
  constexpr std::size_t kFewest = 24;
  constexpr std::size_t kMost = 2048;
  return std::clamp(bytes / bytes_of(*reader.next()), kFewest, kMost);
}

}  // namespace

FrameBrowser::FrameBrowser(std::filesystem::path path, FrameIndex index,
                           const BrowserLimits& limits)
    : path_(std::move(path)),
      index_(std::move(index)),
      reader_(open_placed(path_, index_, limits.threads)),
      cache_(most_frames(*reader_, limits.bytes)),
      reach_(reach_for(static_cast<std::int64_t>(cache_.most()))) {
  update();
  thread_ = std::thread([this] { work(); });
}

FrameBrowser::~FrameBrowser() {
  {
    const std::lock_guard lock(mutex_);
    ended_ = true;
  }
  changed_.notify_all();
  thread_.join();
}

void FrameBrowser::update() {
  near_ = neighbourhood(place_, next_, reach_, frames());
}

void FrameBrowser::look_at(std::int64_t frame) {
  {
    const std::lock_guard lock(mutex_);
    place_ = std::clamp<std::int64_t>(frame, 0, frames() - 1);
    idle_ = false;
    update();
  }
  changed_.notify_all();
}

void FrameBrowser::expect(std::vector<std::int64_t> next) {
  {
    const std::lock_guard lock(mutex_);
    next_ = std::move(next);
    idle_ = false;
    update();
  }
  changed_.notify_all();
}

void FrameBrowser::rethrow() const {
  if (fault_) {
    std::rethrow_exception(fault_);
  }
}

DecodedFrame FrameBrowser::find(std::int64_t frame) {
  const std::lock_guard lock(mutex_);
  DecodedFrame found = cache_.find(frame);
  if (!found) {
    rethrow();
  }
  return found;
}

DecodedFrame FrameBrowser::get(std::int64_t frame) {
  look_at(frame);
  std::unique_lock lock(mutex_);
  changed_.wait(lock, [&] { return fault_ || cache_.holds(place_); });
  DecodedFrame found = cache_.find(place_);
  if (!found) {
    rethrow();
  }
  return found;
}

bool FrameBrowser::is_busy() const {
  const std::lock_guard lock(mutex_);
  return !idle_ && !fault_;
}

void FrameBrowser::settle() {
  std::unique_lock lock(mutex_);
  changed_.wait(lock, [this] { return fault_ || idle_; });
  rethrow();
}

std::size_t FrameBrowser::held() const {
  const std::lock_guard lock(mutex_);
  return cache_.size();
}

void FrameBrowser::decode(std::int64_t frame, std::unique_lock<std::mutex>& lock) {
  lock.unlock();
  reader_->go_to(frame);
  const std::int64_t number = reader_->at();
  DecodedFrame picture = reader_->next();
  lock.lock();
  if (near_.holds(number)) {
    cache_.keep(number, std::move(picture), near_);
  }
}

void FrameBrowser::work() {
  std::unique_lock lock(mutex_);
  try {
    while (!ended_) {
      const std::optional<Wish> wish = next_wish(cache_, near_, reach_);
      idle_ = !wish;
      if (wish) {
        decode(wish->frame, lock);
      }
      changed_.notify_all();
      if (!wish) {
        changed_.wait(lock, [this] { return ended_ || !idle_; });
      }
    }
  } catch (...) {
    if (!lock.owns_lock()) {
      lock.lock();
    }
    fault_ = std::current_exception();
    changed_.notify_all();
  }
}

}  // namespace thumblight::recording
