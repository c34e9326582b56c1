#pragma once

#include <condition_variable>
#include <deque>
#include <memory>
#include <mutex>
#include <string>
#include <thread>

#include "harness/session/append_file.hpp"
#include "harness/session/records.hpp"

namespace thumblight::session {

/// Takes the records of a run, one by one, in order.
class Sink {
 public:
  virtual ~Sink() = default;
  virtual void write(const Record& record) = 0;
};

/// Appends each record to a file from a thread of its own, so that the caller, who draws, never
/// waits for the disk. What has been written survives a kill of the process.
class Writer : public Sink {
 public:
  explicit Writer(std::unique_ptr<AppendFile> file);
  ~Writer() override;
  Writer(const Writer&) = delete;
  Writer& operator=(const Writer&) = delete;

  /// Queues the record. Throws the `Error` of an earlier record that could not be written.
  void write(const Record& record) override;

  /// Waits until all records are in the file. Throws the `Error` if one could not be written.
  void finish();

 private:
  void run();
  void throw_fault();

  std::unique_ptr<AppendFile> file_;
  std::mutex mutex_;
  std::condition_variable wake_;
  std::deque<Record> queue_;
  std::string fault_;
  bool finishing_ = false;
  std::thread thread_;
};

}  // namespace thumblight::session
