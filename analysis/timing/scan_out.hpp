#pragma once

#include <optional>
#include <string>

#include "analysis/onset/timings.hpp"
#include "harness/session/records.hpp"

/// How long after a refresh the scan-out reaches the patch.
namespace thumblight::timing {

/// Lines of a display mode: those that show, and all, the pause between two pictures included.
struct ScanLines {
  int active = 0;
  int total = 0;
  std::string source;  ///< the standard that gives them

  double active_share() const { return static_cast<double>(active) / total; }
};

/// The lines of a mode of `width` x `height` pixels at `refresh_hz`: those of CTA-861 and VESA DMT
/// where they list such a mode, else by VESA's Coordinated Video Timings with reduced blanking
/// (version 1: a pause of at least 460 us). A handheld's own panel may differ by a few per cent.
/// Empty where the figures make no mode.
std::optional<ScanLines> scan_lines(int width, int height, double refresh_hz);

/// No light before the scan-out has reached the patch: a prior, because nothing in the recording
/// shows it.
struct ScanOut {
  std::optional<double> to_patch_s;  ///< after the flip; empty where the prior cannot be stated
  std::string basis;                 ///< in words: what it rests on, or why there is none
};

/// The prior for a patch on a display that is scanned from the top down, to the patch's first row;
/// to its centre row where the recording showed the rows light up one after another and so gave the
/// centre's instant. None without a refresh, without vsync (a picture may then change halfway
/// down), in a window, and where the recording shows the whole patch lighting up at once.
/// `refresh_hz` is that which the present returns gave, or as stated; `stated_share` is the part of
/// a refresh in which the visible rows are scanned, where somebody knows it.
ScanOut scan_out_to_patch(const session::Header& header, const onset::RecordingInfo& recording,
                          std::optional<double> refresh_hz,
                          std::optional<double> stated_share = std::nullopt);

}  // namespace thumblight::timing
