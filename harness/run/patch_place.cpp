#include "harness/run/patch_place.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <optional>
#include <string_view>

#include "harness/session/error.hpp"

namespace thumblight::harness {
namespace {

struct Place {
  std::string_view name;
  double across;  ///< 0 at the left edge, 1 at the right
  double down;
};

constexpr std::array<Place, 9> kPlaces = {{{"centre", 0.5, 0.5},
                                           {"top", 0.5, 0},
                                           {"bottom", 0.5, 1},
                                           {"left", 0, 0.5},
                                           {"right", 1, 0.5},
                                           {"top-left", 0, 0},
                                           {"top-right", 1, 0},
                                           {"bottom-left", 0, 1},
                                           {"bottom-right", 1, 1}}};

std::optional<Rect> parse_rectangle(const std::string& text) {
  Rect r;
  char rest = 0;
  const int fields = std::sscanf(text.c_str(), "%d,%d,%d,%d%c", &r.x, &r.y, &r.w, &r.h, &rest);
  return fields == 4 && r.w > 0 && r.h > 0 ? std::optional(r) : std::nullopt;
}

Rect named_place(const Size& screen, const std::string& name, double percent) {
  const auto* const found = std::find_if(kPlaces.begin(), kPlaces.end(),
                                         [&](const Place& place) { return place.name == name; });
  if (found == kPlaces.end()) {
    throw Error("--patch " + name +
                ": no such place; name centre, top, bottom, left, right, top-left, top-right, "
                "bottom-left, bottom-right, or a rectangle X,Y,W,H in pixels");
  }
  const int w = std::max(1, static_cast<int>(screen.w * percent / 100));
  const int h = std::max(1, static_cast<int>(screen.h * percent / 100));
  return {static_cast<int>(std::lround((screen.w - w) * found->across)),
          static_cast<int>(std::lround((screen.h - h) * found->down)), w, h};
}

Rect within_screen(const Size& screen, const Rect& r) {
  const int left = std::clamp(r.x, 0, screen.w - 1);
  const int top = std::clamp(r.y, 0, screen.h - 1);
  const long right = std::clamp<long>(static_cast<long>(r.x) + r.w, left + 1, screen.w);
  const long bottom = std::clamp<long>(static_cast<long>(r.y) + r.h, top + 1, screen.h);
  return {left, top, static_cast<int>(right - left), static_cast<int>(bottom - top)};
}

}  // namespace

Rect place_patch(const Size& screen, const std::string& place, double percent) {
  // Shrunk before it is placed, a named patch stays in its corner; a rectangle keeps its centre.
  const double largest_percent = 100 * std::sqrt(kLargestPatchShare);
  const auto rectangle = parse_rectangle(place);
  Rect patch = within_screen(
      screen,
      rectangle ? *rectangle : named_place(screen, place, std::min(percent, largest_percent)));
  const double share = static_cast<double>(patch.w) * patch.h / screen.w / screen.h;
  if (share > kLargestPatchShare) {
    const double shrink = std::sqrt(kLargestPatchShare / share);
    const int w = std::max(1, static_cast<int>(patch.w * shrink));
    const int h = std::max(1, static_cast<int>(patch.h * shrink));
    patch = {patch.x + (patch.w - w) / 2, patch.y + (patch.h - h) / 2, w, h};
  }
  return patch;
}

}  // namespace thumblight::harness
