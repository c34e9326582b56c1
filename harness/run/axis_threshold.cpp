#include "harness/run/axis_threshold.hpp"

#include <initializer_list>

namespace thumblight::harness {
namespace {

constexpr double kReopen = 0.8;
constexpr int kLeastWay = 4096;  ///< a direction with less room than this is the axis' stop

}  // namespace

AxisThreshold::AxisThreshold(int rest, double share) : rest_(rest), share_(share) {}

double AxisThreshold::way(int value, int direction) const {
  const int room = direction > 0 ? 32767 - rest_ : rest_ + 32768;
  return room < kLeastWay ? 0.0 : static_cast<double>((value - rest_) * direction) / room;
}

int AxisThreshold::closed_by(int value) {
  if (closed_ != 0) {
    return 0;
  }
  for (const int direction : {+1, -1}) {
    if (way(value, direction) >= share_) {
      closed_ = direction;
      return direction;
    }
  }
  return 0;
}

int AxisThreshold::opened_by(int value) {
  if (closed_ == 0 || way(value, closed_) >= share_ * kReopen) {
    return 0;
  }
  const int opened = closed_;
  closed_ = 0;
  return opened;
}

}  // namespace thumblight::harness
