#pragma once

#include <cstdint>

#include "analysis/review/press_view.hpp"

/// Colours of the window: those of the report's dark page. Press and light have the colours of the
/// portions that begin and end with them (delivery, screen); states differ in shape as well.
namespace thumblight::review {

struct Shade {
  std::uint8_t r = 0;
  std::uint8_t g = 0;
  std::uint8_t b = 0;
  std::uint8_t a = 255;

  constexpr Shade faint(std::uint8_t alpha) const { return {r, g, b, alpha}; }
};

inline constexpr Shade kInk = {232, 234, 237};
inline constexpr Shade kQuiet = {170, 178, 189};
inline constexpr Shade kBack = {21, 25, 30};
inline constexpr Shade kRaised = {30, 36, 43};
inline constexpr Shade kChosen = {52, 62, 76};
inline constexpr Shade kLine = {56, 64, 74};
inline constexpr Shade kGrid = {42, 49, 57};
inline constexpr Shade kBlack = {0, 0, 0};
inline constexpr Shade kPressShade = {109, 156, 232};
inline constexpr Shade kLightShade = {232, 147, 90};
inline constexpr Shade kDoubt = {246, 222, 141};
inline constexpr Shade kHand = {108, 201, 179};

constexpr Shade shade_of(PressState state) {
  switch (state) {
    case PressState::kFound:
      return kInk;
    case PressState::kDoubtful:
      return kDoubt;
    case PressState::kByHand:
      return kHand;
    case PressState::kLeftOut:
    case PressState::kUnseen:
      break;
  }
  return kQuiet;
}

}  // namespace thumblight::review
