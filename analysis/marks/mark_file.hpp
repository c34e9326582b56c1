#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "analysis/marks/records.hpp"
#include "harness/session/append_file.hpp"

namespace thumblight::marks {

/// The marks of one session, on the disk: `marks.jsonl` in its folder, which only grows. It is made
/// with the first record. While it is held, no other program can add to it; a kill frees it.
class MarkFile {
 public:
  /// Reads what is there. Throws `Error` where that is no file of marks, or another program holds
  /// it.
  explicit MarkFile(const std::filesystem::path& folder);
  ~MarkFile();
  MarkFile(const MarkFile&) = delete;
  MarkFile& operator=(const MarkFile&) = delete;

  const std::vector<Entry>& entries() const { return entries_; }
  /// Whether the file ended in a line cut short; it is cut off with the next record.
  bool was_cut() const { return was_cut_; }

  /// Adds a record with the time of now; it is on the disk when this returns. Throws `Error`, and
  /// then nothing was added.
  const Entry& append(Action action);

 private:
  void begin();
  void put(const std::string& bytes);
  void take_lock();

  std::filesystem::path file_;
  std::vector<Entry> entries_;
  bool was_cut_ = false;
  bool has_header_ = false;
  bool open_end_ = false;
  std::size_t whole_bytes_ = 0;
  int lock_ = -1;
  std::unique_ptr<session::AppendFile> out_;
};

/// The time now as marks state it: 2026-03-01T18:00:00.000Z.
std::string utc_now();

}  // namespace thumblight::marks
