#pragma once

#include "analysis/review/frame_view.hpp"

namespace thumblight::review {

/// Which part of the recording's time the traces show.
class TimeView {
 public:
  void set_recording(double from_s, double to_s, double frame_s);
  /// Shows `t_s` in the middle.
  void centre_on(double t_s);
  /// Moves on only where `t_s` is near an edge, or outside.
  void follow(double t_s);
  /// More time (factor above 1) or less, around `t_s`.
  void stretch(double factor, double t_s);

  double from_s() const { return from_s_; }
  double to_s() const { return from_s_ + span_s_; }
  double span_s() const { return span_s_; }
  double recording_from_s() const { return recording_from_s_; }
  double recording_to_s() const { return recording_to_s_; }

  /// Between times and a box's horizontal places.
  double to_x(double t_s, const Box& box) const;
  double to_time_s(double x, const Box& box) const;

 private:
  void settle();

  double recording_from_s_ = 0;
  double recording_to_s_ = 1;
  double frame_s_ = 0.01;
  double from_s_ = 0;
  double span_s_ = 0.5;
};

/// A step for the marks on an axis: 1, 2 or 5 times a power of ten, so that no more than `most`
/// fall into `span`.
double axis_step(double span, int most);

}  // namespace thumblight::review
