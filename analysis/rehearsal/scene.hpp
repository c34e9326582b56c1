#pragma once

#include <cstdint>

#include "analysis/rehearsal/orientation.hpp"
#include "analysis/rehearsal/truth.hpp"

namespace thumblight::rehearsal {

/// Where things are, in pixels of the upright picture.
Regions upright_regions(const Settings& settings);

/// Colour difference signals, -0.5 to 0.5.
struct Tint {
  double cb = 0;
  double cr = 0;
};

/// What is in view apart from light of its own: a wall, a table with things on it, the controller,
/// the screen's glass. The scene is grey; a tint is laid over it in the colour signals alone, so
/// that luma stays the plain transfer curve of the light.
class Scene {
 public:
  explicit Scene(const Settings& settings);

  /// Share of the ambient light that comes back from a point of the upright picture.
  double reflectance(Point upright) const;
  Tint tint(Point upright) const;

  /// Share of the pixel at that point that the finger covers, its way down being `position`.
  double finger_cover(Point upright, double position) const;
  double finger_reflectance(Point upright, double position) const;
  /// Pixels of the finger's travel.
  double travel() const;
  /// Everything that the finger can cover.
  Region finger_bounds() const;

  /// Share of the lamp's light (round, soft at its edge) at that point.
  static double lamp_cover(const Region& lamp, Point upright);

  const Regions& regions() const { return regions_; }

 private:
  double texture(Point upright, double grain_px) const;
  double lattice(std::int64_t column, std::int64_t row) const;

  SceneSettings settings_;
  std::uint64_t seed_;
  double width_;
  double height_;
  Regions regions_;
};

}  // namespace thumblight::rehearsal
