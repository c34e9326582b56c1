#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "analysis/timing/drift.hpp"
#include "analysis/timing/flip.hpp"
#include "analysis/timing/press_rows.hpp"

namespace thumblight::timing {

/// Where the lights fall between two frames of the recording, over a session.
struct FramePhase {
  std::size_t n = 0;     ///< lights
  double closeness = 0;  ///< of their places between two frames: 1 all alike, about 1 / sqrt n for
                         ///< lights that know nothing of the frames
  /// The standard uncertainty that the reading of all lights shares: a light is read with an error
  /// that depends on its place between two frames, so lights at the same place are off alike, and
  /// no number of them lessens that. 0 where the places are spread.
  double shared_u_s = 0;

  /// Whether most of a reading's doubt is shared.
  bool is_in_step = false;
};

/// Of lights whose instants are read no finer than the frames (a quarter of a frame's rectangular
/// deviation or worse); empty for finer readings, without a frame rate, uncertainties or a log.
/// Where the flips are the refresh's, the places come from them, at the rate of `drift`; where
/// they are not but the display keeps to a refresh of which a frame is a whole part, all lights are
/// taken to fall at the same place.
std::optional<FramePhase> find_frame_phase(const std::vector<PressRow>& rows,
                                           std::optional<double> frame_rate_hz, const Flips& flips,
                                           const session::Display& display,
                                           const std::optional<Drift>& drift);

/// The standard deviation of the mean of a sawtooth of standard deviation 1 over `turns` (places in
/// the sawtooth's period, in periods), when nothing is known of where the first of them lies, less
/// what as many random places would leave. By the sawtooth's Fourier series. 0 for fewer than two
/// places, and for harmonics in which the places are no closer than chance makes them.
double mean_of_sawtooth_sd(const std::vector<double>& turns);

}  // namespace thumblight::timing
