#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "analysis/onset/timings.hpp"
#include "analysis/recording/cell_grid.hpp"
#include "analysis/recording/cell_store.hpp"
#include "analysis/review/reviewed_session.hpp"

namespace thumblight::review {

/// What happens in a region, frame by frame.
struct Trace {
  std::vector<float> level;   ///< mean linear light, 1 = reference white
  std::vector<float> change;  ///< mean change of a cell from the frame before, in the same unit
};

/// Reads a whole recording in a thread of its own, behind whoever browses it, and keeps the light
/// of coarse cells in a temporary file, from which any region's trace is made.
class TraceFeed {
 public:
  /// `waits`: true while the machine has better things to do.
  TraceFeed(const ReviewedFrames& film, std::function<bool()> waits);
  ~TraceFeed();
  TraceFeed(const TraceFeed&) = delete;
  TraceFeed& operator=(const TraceFeed&) = delete;

  /// The frames read so far, from the first on.
  std::int64_t frames() const { return read_; }
  /// What went wrong; empty where nothing did.
  std::string fault() const;
  /// The trace of a region over the frames from `first` on that have been read. Cells count that
  /// lie in the region, at least one.
  Trace trace(const onset::Region& upright, std::int64_t first) const;

 private:
  void work();
  std::vector<std::size_t> cells_in(const onset::Region& upright) const;

  const ReviewedFrames& film_;
  std::function<bool()> waits_;
  recording::GridLayout layout_;
  mutable std::mutex mutex_;
  std::unique_ptr<recording::CellStore> levels_;
  std::string fault_;
  std::atomic<std::int64_t> read_ = 0;
  std::atomic<bool> ended_ = false;
  std::thread thread_;
};

/// Keeps the trace of one region up to date as more frames are read and the region moves.
class KeptTrace {
 public:
  const Trace& update(const TraceFeed& feed, const onset::Region& region);

 private:
  std::optional<onset::Region> region_;
  Trace trace_;
};

}  // namespace thumblight::review
