#include "harness/session/writer.hpp"

#include "harness/session/encode.hpp"
#include "harness/session/error.hpp"

namespace thumblight::session {

Writer::Writer(std::unique_ptr<AppendFile> file)
    : file_(std::move(file)), thread_([this] { run(); }) {}

Writer::~Writer() {
  {
    const std::lock_guard lock(mutex_);
    finishing_ = true;
  }
  wake_.notify_one();
  if (thread_.joinable()) {
    thread_.join();
  }
}

void Writer::write(const Record& record) {
  {
    const std::lock_guard lock(mutex_);
    throw_fault();
    queue_.push_back(record);
  }
  wake_.notify_one();
}

void Writer::finish() {
  {
    const std::lock_guard lock(mutex_);
    finishing_ = true;
  }
  wake_.notify_one();
  if (thread_.joinable()) {
    thread_.join();
  }
  throw_fault();
}

void Writer::throw_fault() {
  if (!fault_.empty()) {
    throw Error(fault_);
  }
}

void Writer::run() {
  std::unique_lock lock(mutex_);
  for (;;) {
    wake_.wait(lock, [this] { return finishing_ || !queue_.empty(); });
    if (queue_.empty()) {
      return;
    }
    const Record record = std::move(queue_.front());
    queue_.pop_front();
    if (!fault_.empty()) {
      continue;
    }
    lock.unlock();
    std::string fault;
    try {
      file_->append(encode(record) + '\n');
    } catch (const Error& error) {
      fault = error.what();
    }
    lock.lock();
    if (!fault.empty()) {
      fault_ = fault;
    }
  }
}

}  // namespace thumblight::session
