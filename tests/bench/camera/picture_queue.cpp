#include "tests/bench/camera/picture_queue.hpp"

namespace thumblight::bench {

PictureQueue::PictureQueue(std::size_t capacity, std::size_t pixels) : places_(capacity) {
  for (ScreenPicture& place : places_) {
    place.pixels.resize(pixels);
  }
}

ScreenPicture* PictureQueue::free_place() {
  const std::lock_guard<std::mutex> lock(mutex_);
  return pushed_ - popped_ == places_.size() ? nullptr : &places_[pushed_ % places_.size()];
}

void PictureQueue::push() {
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    ++pushed_;
  }
  changed_.notify_one();
}

void PictureQueue::close() {
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    closed_ = true;
  }
  changed_.notify_one();
}

const ScreenPicture* PictureQueue::oldest() {
  std::unique_lock<std::mutex> lock(mutex_);
  changed_.wait(lock, [this] { return pushed_ != popped_ || closed_; });
  return pushed_ == popped_ ? nullptr : &places_[popped_ % places_.size()];
}

void PictureQueue::pop() {
  const std::lock_guard<std::mutex> lock(mutex_);
  ++popped_;
}

}  // namespace thumblight::bench
