#pragma once

#include <condition_variable>
#include <cstddef>
#include <deque>
#include <exception>
#include <functional>
#include <mutex>
#include <thread>
#include <utility>

namespace thumblight::recording {

/// Calls a reader in a thread of its own, a few items ahead, so that decoding does not wait while
/// an item is looked at.
template <typename Item>
class AheadQueue {
 public:
  /// `read` fills in the next item, or gives false at the end; `most` items wait at a time. What
  /// `read` refers to must outlive the queue.
  AheadQueue(std::function<bool(Item&)> read, std::size_t most)
      : read_(std::move(read)), most_(most), thread_([this] { work(); }) {}

  ~AheadQueue() {
    {
      const std::lock_guard lock(mutex_);
      given_up_ = true;
    }
    changed_.notify_all();
    thread_.join();
  }
  AheadQueue(const AheadQueue&) = delete;
  AheadQueue& operator=(const AheadQueue&) = delete;

  /// False at the end. Throws what `read` has thrown, once the items before it are taken.
  bool next(Item& item) {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return ended_ || !waiting_.empty(); });
    if (waiting_.empty()) {
      if (fault_) {
        std::rethrow_exception(fault_);
      }
      return false;
    }
    item = std::move(waiting_.front());
    waiting_.pop_front();
    lock.unlock();
    changed_.notify_all();
    return true;
  }

 private:
  void work() {
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

  /// False at the end, and where nobody wants the items any more.
  bool read_one() {
    Item item;
    const bool more = read_(item);
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return given_up_ || waiting_.size() < most_; });
    if (!more || given_up_) {
      return false;
    }
    waiting_.push_back(std::move(item));
    lock.unlock();
    changed_.notify_all();
    return true;
  }

  std::function<bool(Item&)> read_;
  std::size_t most_;
  std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<Item> waiting_;
  std::exception_ptr fault_;
  bool ended_ = false;
  bool given_up_ = false;
  std::thread thread_;
};

}  // namespace thumblight::recording
