#include "analysis/marks/mark_file.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <chrono>
#include <cstdio>
#include <ctime>

#include "analysis/marks/encode.hpp"
#include "analysis/marks/marks_reader.hpp"
#include "harness/session/error.hpp"

namespace thumblight::marks {

MarkFile::MarkFile(const std::filesystem::path& folder) : file_(folder / kMarksName) {
  if (!std::filesystem::is_directory(folder)) {
    throw Error(folder.string() + ": is no folder; name the folder of a session");
  }
  if (std::filesystem::exists(file_)) {
    take_lock();
  }
  MarkLog log = read_marks(file_);
  entries_ = std::move(log.entries);
  was_cut_ = log.cut;
  has_header_ = log.has_header;
  whole_bytes_ = log.whole_bytes;
  open_end_ = log.open_end;
}

MarkFile::~MarkFile() {
  if (lock_ >= 0) {
    ::close(lock_);
  }
}

void MarkFile::take_lock() {
  lock_ = ::open(file_.c_str(), O_RDONLY | O_CLOEXEC);
  if (lock_ < 0) {
    throw Error(file_.string() + ": cannot be read as marks; check its rights");
  }
  if (::flock(lock_, LOCK_EX | LOCK_NB) != 0) {
    ::close(lock_);
    lock_ = -1;
    throw Error(file_.string() + ": is being written by another program; close the other review");
  }
}

/// Makes the file, or goes on with it behind its last whole line.
void MarkFile::begin() {
  if (lock_ < 0) {
    out_ = session::create_append_file(file_);
    take_lock();
  } else {
    out_ = session::continue_append_file(file_, whole_bytes_);
  }
  if (open_end_) {
    put("\n");
    open_end_ = false;
  }
  if (!has_header_) {
    put(encode_header(utc_now()) + '\n');
    has_header_ = true;
  }
}

void MarkFile::put(const std::string& bytes) {
  out_->append(bytes);
  whole_bytes_ += bytes.size();
}

const Entry& MarkFile::append(Action action) {
  Entry entry{entries_.empty() ? 1 : entries_.back().id + 1, utc_now(), std::move(action)};
  try {
    if (!out_) {
      begin();
    }
    put(encode(entry) + '\n');
  } catch (const Error&) {
    out_.reset();  // what was written by half is cut off with the next record
    throw;
  }
  return entries_.emplace_back(std::move(entry));
}

std::string utc_now() {
  const auto now = std::chrono::system_clock::now().time_since_epoch();
  const auto milliseconds = std::chrono::duration_cast<std::chrono::milliseconds>(now).count();
  const std::time_t seconds = milliseconds / 1000;
  std::tm parts{};
  ::gmtime_r(&seconds, &parts);
  char date[32];
  std::strftime(date, sizeof date, "%Y-%m-%dT%H:%M:%S", &parts);
  char text[48];
  std::snprintf(text, sizeof text, "%s.%03dZ", date, static_cast<int>(milliseconds % 1000));
  return text;
}

}  // namespace thumblight::marks
