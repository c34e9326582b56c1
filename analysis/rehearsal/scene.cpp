#include "analysis/rehearsal/scene.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "analysis/rehearsal/game.hpp"

namespace thumblight::rehearsal {

namespace {

/// Regions of a layout, in shares of the picture.
struct Shares {
  Region screen;
  Region controller;
  Region finger;
  Region lamp;
  Region host_lamp;
};

Shares shares_of(Layout layout) {
  switch (layout) {
    case Layout::kSofa:
      return {{0.55, 0.05, 0.38, 0.38},
              {0.08, 0.62, 0.40, 0.32},
              {0.18, 0.46, 0.09, 0.28},
              {0.36, 0.70, 0.06, 0.10},
              {0.10, 0.10, 0.05, 0.08}};
    case Layout::kHandheld:
      return {{0.22, 0.18, 0.52, 0.56},
              {0.08, 0.14, 0.84, 0.66},
              {0.81, 0.18, 0.08, 0.30},
              {0.77, 0.62, 0.05, 0.09},
              {0.02, 0.04, 0.05, 0.08}};
    case Layout::kCloseUp:
      return {{0.02, 0.02, 0.80, 0.92},
              {0.83, 0.50, 0.16, 0.46},
              {0.91, 0.30, 0.07, 0.30},
              {0.84, 0.66, 0.06, 0.10},
              {0.86, 0.06, 0.06, 0.10}};
    case Layout::kDesk:
      break;
  }
  return {{0.05, 0.06, 0.62, 0.60},
          {0.56, 0.72, 0.36, 0.24},
          {0.70, 0.50, 0.08, 0.30},
          {0.84, 0.79, 0.05, 0.09},
          {0.76, 0.10, 0.05, 0.08}};
}

Region scaled(const Region& share, double width, double height) {
  return {share.x * width, share.y * height, share.w * width, share.h * height};
}

bool contains(const Region& region, Point point) {
  return point.x >= region.x && point.x < region.x + region.w && point.y >= region.y &&
         point.y < region.y + region.h;
}

/// Share of a pixel that lies on the inner side of an edge at that signed distance.
double soft_edge(double distance_px) {
  return std::clamp(distance_px + 0.5, 0.0, 1.0);
}

double smooth(double share) {
  return share * share * (3.0 - 2.0 * share);
}

}  // namespace

Regions upright_regions(const Settings& settings) {
  const double width = settings.camera.width;
  const double height = settings.camera.height;
  const Shares shares = shares_of(settings.scene.layout);
  const DisplaySettings& display = settings.display;
  Regions regions;
  regions.screen = scaled(shares.screen, width, height);
  regions.patch = {regions.screen.x + display.patch_x * regions.screen.w,
                   regions.screen.y + display.patch_y * regions.screen.h,
                   display.patch_w * regions.screen.w, display.patch_h * regions.screen.h};
  if (settings.game.kind != GameKind::kNone) {
    const ScreenBox reach = game_reach(settings.game);
    regions.patch = {regions.screen.x + reach.left * regions.screen.w,
                     regions.screen.y + reach.top * regions.screen.h,
                     (reach.right - reach.left) * regions.screen.w,
                     (reach.bottom - reach.top) * regions.screen.h};
  }
  regions.controller = scaled(shares.controller, width, height);
  regions.finger = scaled(shares.finger, width, height);
  if (settings.lamp.on_button) {
    regions.lamp = scaled(shares.lamp, width, height);
  }
  if (settings.lamp.on_host) {
    regions.host_lamp = scaled(shares.host_lamp, width, height);
  }
  return regions;
}

Scene::Scene(const Settings& settings)
    : settings_(settings.scene),
      seed_(settings.seed),
      width_(settings.camera.width),
      height_(settings.camera.height),
      regions_(upright_regions(settings)) {}

/// A fixed random value from -1 to 1 for each point of a lattice (a finalised product of primes).
double Scene::lattice(std::int64_t column, std::int64_t row) const {
  std::uint64_t mixed = seed_ * 0x9E3779B97F4A7C15U +
                        static_cast<std::uint64_t>(column) * 0xC2B2AE3D27D4EB4FU +
                        static_cast<std::uint64_t>(row) * 0x165667B19E3779F9U;
  mixed = (mixed ^ (mixed >> 30U)) * 0xBF58476D1CE4E5B9U;
  mixed = (mixed ^ (mixed >> 27U)) * 0x94D049BB133111EBU;
  return static_cast<double>((mixed ^ (mixed >> 31U)) >> 11U) * 0x1p-52 - 1.0;
}

/// Smooth random relief: lattice values, interpolated.
double Scene::texture(Point upright, double grain_px) const {
  const double x = upright.x / grain_px;
  const double y = upright.y / grain_px;
  const auto column = static_cast<std::int64_t>(std::floor(x));
  const auto row = static_cast<std::int64_t>(std::floor(y));
  const double u = smooth(x - std::floor(x));
  const double v = smooth(y - std::floor(y));
  const double upper = std::lerp(lattice(column, row), lattice(column + 1, row), u);
  const double lower = std::lerp(lattice(column, row + 1), lattice(column + 1, row + 1), u);
  return std::lerp(upper, lower, v);
}

double Scene::reflectance(Point upright) const {
  const double relief =
      1.0 + settings_.texture * (0.6 * texture(upright, 0.09 * height_) +
                                 0.4 * texture(upright, std::max(2.0, 0.015 * height_)));
  if (contains(regions_.screen, upright)) {
    return 0.03;
  }
  if (contains(regions_.controller, upright)) {
    return 0.16 * relief;
  }
  const double across = upright.x / width_;
  const double down = upright.y / height_;
  const bool table = down > 0.68 + 0.03 * std::sin(3.0 * across);
  const double surface = table ? 0.28 + 0.12 * across : 0.62 - 0.25 * across - 0.15 * down;
  const bool thing = texture(upright, 0.22 * height_) > 0.55;
  return (thing ? 0.5 * surface : surface) * relief;
}

Tint Scene::tint(Point upright) const {
  if (contains(regions_.screen, upright)) {
    return {0.0, 0.0};
  }
  if (contains(regions_.controller, upright)) {
    return {0.02, -0.01};
  }
  return {-0.03, 0.02 + 0.01 * texture(upright, 0.2 * height_)};
}

double Scene::travel() const {
  return 0.16 * regions_.finger.h;
}

Region Scene::finger_bounds() const {
  const double sway = settings_.hand_sway * height_ + 1.0;
  const Region& finger = regions_.finger;
  return {finger.x - sway, finger.y - sway, finger.w + 2.0 * sway, finger.h + 2.0 * sway};
}

/// A finger is an upright stroke with round ends; raised, it ends short of its region by the
/// travel.
double Scene::finger_cover(Point upright, double position) const {
  const Region& finger = regions_.finger;
  const double radius = 0.5 * finger.w;
  const double top = finger.y + radius + position * travel();
  const double bottom = finger.y + finger.h - radius - (1.0 - position) * travel();
  const double nearest = std::clamp(upright.y, top, std::max(top, bottom));
  const double away = std::hypot(upright.x - (finger.x + radius), upright.y - nearest);
  return soft_edge(radius - away);
}

double Scene::finger_reflectance(Point upright, double position) const {
  const Region& finger = regions_.finger;
  const Point own = {upright.x, upright.y - position * travel()};
  const double across = (upright.x - finger.x) / finger.w - 0.5;
  const double shade = 1.0 - 1.6 * across * across;
  return 0.55 * shade *
         (1.0 + 0.5 * settings_.texture * texture(own, std::max(2.0, 0.02 * height_)));
}

double Scene::lamp_cover(const Region& lamp, Point upright) {
  const double radius = 0.5 * std::min(lamp.w, lamp.h);
  const double away =
      std::hypot(upright.x - (lamp.x + 0.5 * lamp.w), upright.y - (lamp.y + 0.5 * lamp.h));
  return soft_edge(radius - away);
}

}  // namespace thumblight::rehearsal
