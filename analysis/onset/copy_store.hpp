#pragma once

#include <cstdint>
#include <cstdio>
#include <map>
#include <memory>
#include <vector>

#include "analysis/onset/grey_copy.hpp"

namespace thumblight::onset {

/// Small copies of some of a film's frames, kept in a nameless temporary file.
class CopyStore {
 public:
  explicit CopyStore(const CopyForm& form);

  const CopyForm& form() const { return form_; }
  bool holds(std::int64_t frame) const { return place_of_.count(frame) != 0; }
  /// Whether another copy would make the file larger than is fair.
  bool full() const;
  /// Throws `Error` where the temporary folder has no room.
  void keep(std::int64_t frame, const std::vector<std::uint8_t>& pixels);
  /// An empty copy for a frame that is not held.
  GreyCopy copy_of(std::int64_t frame);

 private:
  struct Close {
    void operator()(std::FILE* file) const { std::fclose(file); }
  };
  std::size_t copy_bytes() const;

  CopyForm form_;
  std::unique_ptr<std::FILE, Close> file_;
  std::map<std::int64_t, std::int64_t> place_of_;  ///< frame to its place in the file
};

}  // namespace thumblight::onset
