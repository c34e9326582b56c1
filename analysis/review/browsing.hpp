#pragma once

#include <memory>
#include <optional>

#include "analysis/recording/frame_browser.hpp"
#include "analysis/review/draw.hpp"
#include "analysis/review/review.hpp"
#include "analysis/review/trace_feed.hpp"

namespace thumblight::review {

/// The frames and traces of the session that is looked at: of one session at a time, so that memory
/// stays bounded however many are reviewed.
class Browsing {
 public:
  /// Follows what is looked at; opens another recording where the session has changed.
  void follow(const Review& review);

  /// Empty while it is not decoded.
  recording::DecodedFrame frame(const Review& review);
  SeenTraces traces(const Review& review);
  bool is_busy() const { return browser_ && browser_->is_busy(); }
  std::int64_t read() const { return feed_ ? feed_->frames() : 0; }

 private:
  std::optional<std::size_t> session_;
  std::int64_t frame_ = -1;
  std::unique_ptr<recording::FrameBrowser> browser_;
  std::unique_ptr<TraceFeed> feed_;
  KeptTrace press_;
  KeptTrace light_;
};

}  // namespace thumblight::review
