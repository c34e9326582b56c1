#pragma once

#include <vector>

#include "analysis/rehearsal/settings.hpp"
#include "analysis/rehearsal/step_response.hpp"

namespace thumblight::rehearsal {

/// The refreshes of a screen: refresh n starts at phase + n * interval.
struct Refresh {
  double phase_s = 0;
  double interval_s = 0;
};

/// The patch is drawn bright or dark from this flip on.
struct Change {
  double flip_s = 0;
  bool bright = false;
};

/// Means over a window of time: of what lights the row at all (1 on average) and of the share of
/// the step from dark to bright that it shows.
struct RowLight {
  double backlight = 1;
  double drive = 0;
};

/// Light of the screen over the time of the bench, row by row. `row` is a share of the way that
/// the scan-out goes over the visible screen: 0 is where it starts, 1 where it ends.
class Panel {
 public:
  /// `changes` in order of time, alternately bright and dark.
  Panel(const DisplaySettings& settings, Refresh refresh, std::vector<Change> changes,
        double pwm_phase_s = 0.0);

  /// When a frame that was flipped then starts to show in the row.
  double row_start_s(double flip_s, double row) const;
  /// When the row's mean luminance has made that share of its step up (down) after the flip. The
  /// ripple of a pulsed backlight is left out; a tube's row flashes up at once.
  double rise_reaches_s(double flip_s, double row, double share) const;
  double fall_reaches_s(double flip_s, double row, double share) const;

  /// Exact means of the model over [from, to].
  RowLight mean(double row, double from_s, double to_s) const;

  /// Whether rows far from any change keep their light.
  bool is_steady() const;

 private:
  double drive_integral(double row, double from_s, double to_s) const;
  RowLight pulsed_mean(double row, double from_s, double to_s) const;
  RowLight tube_mean(double row, double from_s, double to_s) const;
  std::size_t changes_until(double t_s) const;
  bool bright_at(double row, double t_s) const;

  DisplaySettings settings_;
  Refresh refresh_;
  std::vector<Change> changes_;
  StepResponse rise_;
  StepResponse fall_;
  double delay_s_;
  double pwm_phase_s_;
};

}  // namespace thumblight::rehearsal
