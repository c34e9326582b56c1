#include "analysis/timing/frame_phase.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

namespace thumblight::timing {
namespace {

constexpr std::size_t kFewestLights = 2;
/// Readings finer than this part of a frame's rectangular deviation are bound by noise instead.
constexpr double kFrameBound = 0.25;
/// How near the refresh must come to a whole number of frames, as a share.
constexpr double kWhole = 0.002;
constexpr double kMostlyShared = 0.5;
/// Of few lights, places this close (squared) count as alike, whatever chance would make.
constexpr double kAlike = 0.8;

/// The length of the mean of the places as unit vectors, `harmonic` times as fast.
double resultant(const std::vector<double>& turns, int harmonic) {
  std::complex<double> sum = 0;
  for (const double turn : turns) {
    sum += std::polar(1.0, 2 * std::numbers::pi * harmonic * (turn - std::floor(turn)));
  }
  return std::abs(sum) / static_cast<double>(turns.size());
}

bool is_whole(double ratio) {
  return ratio > 0.5 && std::abs(ratio - std::round(ratio)) < kWhole * ratio;
}

struct SeenLights {
  std::vector<double> flip_s;
  double u_s = 0;  ///< root mean square
  bool all_told = true;
};

SeenLights seen_lights(const std::vector<PressRow>& rows) {
  SeenLights seen;
  double squares = 0;
  for (const PressRow& row : rows) {
    if (row.light_s && row.flip_s) {
      seen.flip_s.push_back(*row.flip_s);
      const std::optional<double> u_s = row.recorded->light->u_s;
      seen.all_told = seen.all_told && u_s;
      squares += u_s.value_or(0) * u_s.value_or(0);
    }
  }
  seen.u_s = std::sqrt(squares / std::max(1.0, static_cast<double>(seen.flip_s.size())));
  return seen;
}

/// Places between two frames: of the flips where they are the refresh's, one and the same where
/// the refresh is a whole number of frames, and otherwise none.
std::vector<double> places_of(const std::vector<double>& flip_s, double frame_s, const Flips& flips,
                              const session::Display& display, double rate) {
  std::vector<double> turns;
  if (flips.how == "refresh") {
    for (const double at_s : flip_s) {
      turns.push_back((at_s - flip_s.front()) / (1 + rate) / frame_s);
    }
  } else if (display.vsync && display.refresh_hz && *display.refresh_hz > 0 &&
             is_whole(1 / *display.refresh_hz / frame_s)) {
    turns.assign(flip_s.size(), 0);
  }
  return turns;
}

}  // namespace

double mean_of_sawtooth_sd(const std::vector<double>& turns) {
  // A sawtooth's variance falls on its harmonics as 1 / k^2.
  constexpr int kHarmonics = 20;
  // Random places pass this in one harmonic of twenty (Rayleigh's test: exp -3).
  constexpr double kByChance = 3;
  if (turns.size() < kFewestLights) {
    return 0;
  }
  const auto n = static_cast<double>(turns.size());
  double shared = 0;
  double whole = 0;
  for (int k = 1; k <= kHarmonics; ++k) {
    const double weight = 1.0 / (k * k);
    const double square = std::pow(resultant(turns, k), 2);
    if (square > std::min(kByChance / n, kAlike)) {
      shared += weight * (square - 1 / n) / (1 - 1 / n);
    }
    whole += weight;
  }
  return std::sqrt(shared / whole);
}

std::optional<FramePhase> find_frame_phase(const std::vector<PressRow>& rows,
                                           std::optional<double> frame_rate_hz, const Flips& flips,
                                           const session::Display& display,
                                           const std::optional<Drift>& drift) {
  const SeenLights seen = seen_lights(rows);
  if (!frame_rate_hz || *frame_rate_hz <= 0 || !seen.all_told ||
      seen.flip_s.size() < kFewestLights) {
    return std::nullopt;
  }
  const double frame_s = 1 / *frame_rate_hz;
  const double rectangular_s = frame_s / std::sqrt(12.0);
  if (seen.u_s < kFrameBound * rectangular_s) {
    return std::nullopt;
  }
  const double rate = drift ? drift->rate_ppm * 1e-6 : 0;
  const std::vector<double> turns = places_of(seen.flip_s, frame_s, flips, display, rate);
  if (turns.empty()) {
    return std::nullopt;
  }
  FramePhase phase;
  phase.n = turns.size();
  phase.closeness = resultant(turns, 1);
  const double share = mean_of_sawtooth_sd(turns);
  phase.shared_u_s = share * std::min(seen.u_s, rectangular_s);
  phase.is_in_step = share > kMostlyShared;
  return phase;
}

}  // namespace thumblight::timing
