#pragma once

namespace thumblight::harness {

/// An analogue axis as a pair of switches, one for each direction. It closes when the axis has gone
/// the stated share of its way from rest to its end, and opens at four fifths of that, so that
/// noise around the threshold is one press.
class AxisThreshold {
 public:
  /// Values from -32768 to 32767; `rest` is -32768 for most triggers and about 0 for sticks.
  AxisThreshold(int rest, double share);

  /// What `value` changes: +1 or -1 if that direction closes, 0 if nothing does.
  int closed_by(int value);
  /// The direction that `value` opens, or 0. To be asked before `closed_by`.
  int opened_by(int value);

 private:
  double way(int value, int direction) const;

  int rest_;
  double share_;
  int closed_ = 0;
};

}  // namespace thumblight::harness
