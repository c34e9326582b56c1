#include "analysis/review/time_view.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::review {

void TimeView::set_recording(double from_s, double to_s, double frame_s) {
  recording_from_s_ = from_s;
  recording_to_s_ = std::max(to_s, from_s + frame_s);
  frame_s_ = frame_s;
  settle();
}

void TimeView::settle() {
  constexpr double kFewestFrames = 12;
  const double whole_s = recording_to_s_ - recording_from_s_;
  span_s_ = std::clamp(span_s_, std::min(kFewestFrames * frame_s_, whole_s), whole_s);
  from_s_ = std::clamp(from_s_, recording_from_s_, recording_to_s_ - span_s_);
}

void TimeView::centre_on(double t_s) {
  from_s_ = t_s - span_s_ / 2;
  settle();
}

void TimeView::follow(double t_s) {
  constexpr double kEdge = 0.08;
  const double edge_s = kEdge * span_s_;
  if (t_s < from_s_ - span_s_ || t_s > to_s() + span_s_) {
    centre_on(t_s);
  } else if (t_s < from_s_ + edge_s) {
    from_s_ = t_s - edge_s;
  } else if (t_s > to_s() - edge_s) {
    from_s_ = t_s - span_s_ + edge_s;
  }
  settle();
}

void TimeView::stretch(double factor, double t_s) {
  const double share = (t_s - from_s_) / span_s_;
  span_s_ *= factor;
  settle();
  from_s_ = t_s - share * span_s_;
  settle();
}

double TimeView::to_x(double t_s, const Box& box) const {
  return box.x + (t_s - from_s_) / span_s_ * box.w;
}

double TimeView::to_time_s(double x, const Box& box) const {
  return from_s_ + (x - box.x) / box.w * span_s_;
}

double axis_step(double span, int most) {
  double step = std::pow(10.0, std::floor(std::log10(span / most)));
  for (const double factor : {1.0, 2.0, 5.0, 10.0}) {
    if (span / (step * factor) <= most) {
      return step * factor;
    }
  }
  return step * 10;
}

}  // namespace thumblight::review
