#include "analysis/recording/read_ahead.hpp"

#include <utility>

namespace thumblight::recording {
namespace {

constexpr std::size_t kMostWaiting = 3;  ///< each holds a whole picture

}  // namespace

ReadAhead::ReadAhead(std::unique_ptr<FrameSource> source)
    : source_(std::move(source)), thread_([this] { read(); }) {}

ReadAhead::~ReadAhead() {
  {
    const std::lock_guard lock(mutex_);
    given_up_ = true;
  }
  changed_.notify_all();
  thread_.join();
}

void ReadAhead::read() {
  std::exception_ptr fault;
  try {
    while (read_one()) {
    }
  } catch (...) {
    fault = std::current_exception();
  }
  {
    const std::lock_guard lock(mutex_);
    fault_ = fault;
    ended_ = true;
  }
  changed_.notify_all();
}

/// False at the end, and where nobody wants the frames any more.
bool ReadAhead::read_one() {
  Frame frame;
  const bool more = source_->next(frame);
  faults_ = source_->faults();
  std::unique_lock lock(mutex_);
  changed_.wait(lock, [this] { return given_up_ || waiting_.size() < kMostWaiting; });
  if (!more || given_up_) {
    return false;
  }
  waiting_.push_back(std::move(frame));
  lock.unlock();
  changed_.notify_all();
  return true;
}

bool ReadAhead::next(Frame& frame) {
  std::unique_lock lock(mutex_);
  changed_.wait(lock, [this] { return ended_ || !waiting_.empty(); });
  if (waiting_.empty()) {
    if (fault_) {
      std::rethrow_exception(fault_);
    }
    return false;
  }
  frame = std::move(waiting_.front());
  waiting_.pop_front();
  lock.unlock();
  changed_.notify_all();
  return true;
}

}  // namespace thumblight::recording
