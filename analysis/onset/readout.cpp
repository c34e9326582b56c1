#include "analysis/onset/readout.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace thumblight::onset {
namespace {

/// Visible lines take about this share of a refresh (CVT and CTA-861 timings: 0.93 to 0.98).
constexpr double kScanShare = 0.96;
constexpr double kScanShareError = 0.035;

/// Side of the patch along the screen's height, in pixels of the picture, from its lit area.
double patch_height_px(const StepGroup& cells, const recording::GridLayout& layout, double aspect) {
  const double most = *std::max_element(cells.heights.begin(), cells.heights.end());
  const double lit = std::accumulate(cells.heights.begin(), cells.heights.end(), 0.0) / most;
  return std::sqrt(lit * layout.cell_px * layout.cell_px / aspect);
}

/// Seconds of scan-out for each pixel along the screen's height; 0 where the log does not tell.
double scan_slope(const Film& film, const StepGroup& cells, const session::Log* log) {
  if (log == nullptr) {
    return 0;
  }
  const session::Display& display = log->header.display;
  const session::Patch& patch = log->header.patch;
  if (!display.refresh_hz || *display.refresh_hz <= 0 || patch.h <= 0 || patch.w <= 0 ||
      display.height <= 0) {
    return 0;
  }
  const double share = static_cast<double>(patch.h) / display.height;
  const double aspect = static_cast<double>(patch.w) / patch.h;
  return share * kScanShare / *display.refresh_hz / patch_height_px(cells, film.layout, aspect);
}

bool plausible(double readout_s, double u_s, double interval_s) {
  return readout_s > -3 * u_s - 1e-4 && readout_s < 1.02 * interval_s + 3 * u_s;
}

}  // namespace

Readout stated_readout(const Setup& setup, double interval_s) {
  if (setup.readout_s) {
    return {*setup.readout_s, 0, "stated", setup.bottom_row_first};
  }
  return {0, interval_s / std::sqrt(3.0), "unknown", setup.bottom_row_first};
}

Readout find_readout(const Film& film, const FilmedGroup& patch, const StepGroup& cells,
                     const FittedModel& fitted, const Setup& setup, const session::Log* log) {
  const double interval_s = film.clock.interval_s;
  const Readout given = stated_readout(setup, interval_s);
  if (setup.readout_s) {
    return given;
  }
  const auto estimated = [&](double readout_s, double u_s) {
    return Readout{std::max(readout_s, 0.0), u_s, "estimated", setup.bottom_row_first};
  };
  const double rows = film.info.height;
  // A row read later sees the same light in an earlier part of its exposure: the slope falls.
  const double sign = setup.bottom_row_first ? -1 : 1;
  const double seen = sign * fitted.light.model.slope_y * rows;
  const double seen_u = fitted.slope_y_u * rows;
  const double useful_s = 0.35 * interval_s;  // a doubt beyond this is no estimate
  const bool sideways = film.info.rotation_deg == 90 || film.info.rotation_deg == 270;
  if (patch.height_px <= 0 || seen_u > useful_s) {
    return given;
  }
  if (sideways) {
    const bool fits = plausible(-seen, seen_u, interval_s) && -seen > 2 * seen_u;
    return fits ? estimated(-seen, seen_u) : given;
  }
  const double scan =
      (film.info.rotation_deg == 180 ? -sign : sign) * scan_slope(film, cells, log) * rows;
  const double u_s = std::hypot(seen_u, kScanShareError * scan);
  if (scan != 0 && u_s < useful_s && plausible(scan - seen, u_s, interval_s)) {
    return estimated(scan - seen, u_s);
  }
  // Where the patch lights up at once, all of the slope is the camera's.
  if (seen < -4 * seen_u && plausible(-seen, seen_u, interval_s)) {
    return estimated(-seen, seen_u);
  }
  return given;
}

}  // namespace thumblight::onset
