#include "analysis/review/browsing.hpp"

namespace thumblight::review {

void Browsing::follow(const Review& review) {
  const ReviewedFrames& film = review.session().film;
  if (session_ != review.session_index()) {
    feed_.reset();  // it asks the browser
    browser_ = std::make_unique<recording::FrameBrowser>(film.recording, film.index);
    feed_ = std::make_unique<TraceFeed>(film,
                                        [browser = browser_.get()] { return browser->is_busy(); });
    press_ = {};
    light_ = {};
    session_ = review.session_index();
    frame_ = -1;
  }
  if (frame_ != review.frame()) {
    frame_ = review.frame();
    browser_->look_at(frame_);
    browser_->expect(review.frames_next());
  }
}

recording::DecodedFrame Browsing::frame(const Review& review) {
  return browser_->find(review.frame());
}

SeenTraces Browsing::traces(const Review& review) {
  SeenTraces traces;
  traces.read = feed_->frames();
  traces.fault = feed_->fault();
  if (const auto region = review.region(RegionKind::kPress)) {
    traces.press = &press_.update(*feed_, *region);
  }
  if (const auto region = review.region(RegionKind::kLight)) {
    traces.light = &light_.update(*feed_, *region);
  }
  return traces;
}

}  // namespace thumblight::review
