#include "analysis/timing/scan_out.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace thumblight::timing {
namespace {

struct Mode {
  int width;
  int height;
  double refresh_hz;
  int total_lines;
  const char* source;
};

/// Formats whose pause between pictures is not that of reduced blanking. CTA-861 video
/// identification codes and VESA DMT, as tabled by edid-decode.
constexpr std::array kModes = {
    Mode{640, 480, 59.940, 525, "CTA-861 VIC 1, DMT 04h"},
    Mode{720, 480, 59.940, 525, "CTA-861 VIC 2/3"},
    Mode{1280, 720, 60, 750, "CTA-861 VIC 4, DMT 55h"},
    Mode{1280, 720, 50, 750, "CTA-861 VIC 19"},
    Mode{1920, 1080, 60, 1125, "CTA-861 VIC 16, DMT 52h"},
    Mode{1920, 1080, 50, 1125, "CTA-861 VIC 31"},
    Mode{1920, 1080, 120, 1125, "CTA-861 VIC 63"},
    Mode{3840, 2160, 60, 2250, "CTA-861 VIC 97"},
    Mode{3840, 2160, 120, 2250, "CTA-861 VIC 118"},
};

/// Takes in 1000/1001 of a rate and what a clock measures of it.
constexpr double kSameRate = 0.003;

std::optional<ScanLines> reduced_blanking(int height, double refresh_hz) {
  constexpr double kLeastPause_us = 460;
  const double shown_us = 1e6 / refresh_hz - kLeastPause_us;
  if (shown_us <= 0) {
    return std::nullopt;
  }
  const double line_us = shown_us / height;
  const int pause = static_cast<int>(std::floor(kLeastPause_us / line_us)) + 1;
  return ScanLines{height, height + pause, "VESA CVT with reduced blanking"};
}

/// The part of a refresh in which the visible rows are scanned: of the mode's lines, or of those of
/// reduced blanking where these are more, since a display may be driven either way and the prior is
/// not to claim too much.
double visible_share(const ScanLines& lines, double refresh_hz) {
  const std::optional<ScanLines> reduced = reduced_blanking(lines.active, refresh_hz);
  return std::min(lines.active_share(), reduced ? reduced->active_share() : 1.0);
}

/// The share of the visible rows that are scanned before the row that counts.
double share_before(const session::Header& header, double scan_s, double visible_s) {
  const double height = header.display.height;
  const double above = header.patch.y / height;
  const double below = (height - header.patch.y - header.patch.h) / height;
  const double to_centre = std::min(std::abs(scan_s) / visible_s, 1.0) / 2;
  return std::clamp(scan_s < 0 ? below : above, 0.0, 1.0) + to_centre;
}

std::string why_none(const session::Header& header, std::optional<double> refresh_hz) {
  if (!refresh_hz || *refresh_hz <= 0) {
    return "the log states no refresh";
  }
  if (!header.display.vsync) {
    return "without vsync the picture may change halfway down the screen";
  }
  if (!header.display.fullscreen || header.display.height <= 0) {
    return "the harness ran in a window";
  }
  return "";
}

}  // namespace

std::optional<ScanLines> scan_lines(int width, int height, double refresh_hz) {
  if (width <= 0 || height <= 0 || !(refresh_hz > 0)) {
    return std::nullopt;
  }
  for (const Mode& mode : kModes) {
    if (mode.width == width && mode.height == height &&
        std::abs(refresh_hz / mode.refresh_hz - 1) < kSameRate) {
      return ScanLines{height, mode.total_lines, mode.source};
    }
  }
  return reduced_blanking(height, refresh_hz);
}

ScanOut scan_out_to_patch(const session::Header& header, const onset::RecordingInfo& recording,
                          std::optional<double> refresh_hz, std::optional<double> stated_share) {
  const std::string reason = why_none(header, refresh_hz);
  if (!reason.empty()) {
    return {std::nullopt, reason};
  }
  const session::Display& display = header.display;
  const int width = display.mode_width > 0 ? display.mode_width : display.width;
  const int height = display.mode_height > 0 ? display.mode_height : display.height;
  const std::optional<ScanLines> lines = scan_lines(width, height, *refresh_hz);
  if (!stated_share && !lines) {
    return {std::nullopt, "the display's mode is none that is known"};
  }
  const double visible_s =
      stated_share.value_or(lines ? visible_share(*lines, *refresh_hz) : 0) / *refresh_hz;
  const double scan_s = recording.light ? recording.light->scan_s.value_or(0) : 0;
  const double expected_s = visible_s * header.patch.h / display.height;
  if (recording.light && recording.light->scan_s && std::abs(scan_s) < expected_s / 4) {
    return {std::nullopt, "the patch's rows light up at once"};
  }
  const bool to_centre = scan_s != 0;
  const std::string rows = stated_share ? "as stated" : "lines of " + lines->source;
  return {share_before(header, scan_s, visible_s) * visible_s,
          std::string("scan-out ") + (scan_s < 0 ? "upwards" : "downwards") + " to the patch's " +
              (to_centre ? "centre" : "first") + " row, " + rows};
}

}  // namespace thumblight::timing
