#include "analysis/report/same_screen.hpp"

#include <cmath>

#include "analysis/report/numbers.hpp"

namespace thumblight::report {
namespace {

using Reasons = std::vector<std::string>;

/// Stated rates count as the same within this share: 60 Hz and 59.94 Hz are one mode's two names.
constexpr double kSameRefresh = 0.002;

std::string shown(const std::string& text) {
  return text.empty() ? "none" : printable(text);
}
std::string shown(int number) {
  return std::to_string(number);
}
std::string shown(bool truth) {
  return truth ? "on" : "off";
}

template <typename Value>
void want_same(Reasons& reasons, const char* what, const Value& a, const Value& b) {
  if (a != b) {
    reasons.push_back(std::string(what) + " (" + shown(a) + " and " + shown(b) + ")");
  }
}

std::string size(int width, int height) {
  return std::to_string(width) + "x" + std::to_string(height);
}

void compare_hosts(Reasons& reasons, const session::Host& a, const session::Host& b) {
  want_same(reasons, "platform", a.platform, b.platform);
  want_same(reasons, "processors", a.cpus, b.cpus);
  want_same(reasons, "memory in MiB", a.memory_mib, b.memory_mib);
  want_same(reasons, "SDL", a.sdl_version, b.sdl_version);
  want_same(reasons, "video driver", a.video_driver, b.video_driver);
  want_same(reasons, "harness", a.harness_version, b.harness_version);
  want_same(reasons, "build type", a.build_type, b.build_type);
}

std::string refresh(const std::optional<double>& refresh_hz) {
  return refresh_hz ? shortest(*refresh_hz) + " Hz" : "not stated";
}

bool same_refresh(const std::optional<double>& a, const std::optional<double>& b) {
  return a && b ? std::abs(*a - *b) <= kSameRefresh * *a : a.has_value() == b.has_value();
}

void compare_displays(Reasons& reasons, const session::Display& a, const session::Display& b) {
  want_same(reasons, "display", a.name, b.name);
  want_same(reasons, "display's number", a.index, b.index);
  want_same(reasons, "drawing area", size(a.width, a.height), size(b.width, b.height));
  want_same(reasons, "mode", size(a.mode_width, a.mode_height), size(b.mode_width, b.mode_height));
  if (!same_refresh(a.refresh_hz, b.refresh_hz)) {
    reasons.push_back("refresh (" + refresh(a.refresh_hz) + " and " + refresh(b.refresh_hz) + ")");
  }
  want_same(reasons, "full screen", a.fullscreen, b.fullscreen);
  want_same(reasons, "renderer", a.renderer, b.renderer);
  want_same(reasons, "vsync", a.vsync, b.vsync);
}

std::string place(const session::Patch& patch) {
  return size(patch.w, patch.h) + " at " + std::to_string(patch.x) + "," + std::to_string(patch.y);
}

void compare_patches(Reasons& reasons, const session::Patch& a, const session::Patch& b) {
  want_same(reasons, "patch", place(a), place(b));
  want_same(reasons, "bright level", a.bright_level, b.bright_level);
  want_same(reasons, "dark level", a.dark_level, b.dark_level);
}

void compare_labels(Reasons& reasons, const Result& a, const Result& b) {
  for (const char* key : {"device", "display", "program"}) {
    const auto of = [key](const Result& result) {
      const auto found = result.labels.find(key);
      return found == result.labels.end() ? std::string() : found->second;
    };
    want_same(reasons, (std::string("label '") + key + "'").c_str(), of(a), of(b));
  }
}

void compare_criteria(Reasons& reasons, const Result& a, const Result& b) {
  const auto criterion = [](const Result& result) {
    return result.recording.light ? fixed(100 * result.recording.light->threshold, 0) + " %"
                                  : std::string("not stated");
  };
  want_same(reasons, "step that counts as light", criterion(a), criterion(b));
}

}  // namespace

Reasons screen_differences(const std::optional<session::Header>& header_a, const Result& a,
                           const std::optional<session::Header>& header_b, const Result& b) {
  if (!header_a || !header_b) {
    return {"no log of both sessions, so nothing shows that machine and screen are the same"};
  }
  Reasons reasons;
  compare_hosts(reasons, header_a->host, header_b->host);
  compare_displays(reasons, header_a->display, header_b->display);
  compare_patches(reasons, header_a->patch, header_b->patch);
  want_same(reasons, "pacing", header_a->pacing, header_b->pacing);
  compare_labels(reasons, a, b);
  compare_criteria(reasons, a, b);
  return reasons;
}

}  // namespace thumblight::report
