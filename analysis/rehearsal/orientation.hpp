#pragma once

#include "analysis/rehearsal/truth.hpp"

namespace thumblight::rehearsal {

struct Point {
  double x = 0;
  double y = 0;
};

/// The upright picture that a player shows against the stored one, which is as the sensor was read
/// and has to be turned clockwise by `rotation_deg` to stand upright. Coordinates are continuous:
/// the pixel at column 0 reaches from x = 0 to 1.
class Orientation {
 public:
  explicit Orientation(const CameraSettings& settings);

  int stored_width() const { return turned_ ? height_ : width_; }
  int stored_height() const { return turned_ ? width_ : height_; }
  Point upright(Point stored) const;
  Point stored(Point upright) const;
  Region stored(const Region& upright) const;

  /// Whether all pixels of a stored row lie in one row of the upright picture.
  bool keeps_rows() const { return !turned_; }

 private:
  double width_px() const { return width_; }
  double height_px() const { return height_; }

  int width_;
  int height_;
  int rotation_deg_;
  bool turned_;
};

Regions stored_regions(const Regions& upright, const Orientation& orientation);

}  // namespace thumblight::rehearsal
