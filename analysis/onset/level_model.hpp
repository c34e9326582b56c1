#pragma once

#include <optional>
#include <vector>

#include "analysis/onset/step_fit.hpp"

/// The levels before and after a step, freed from drift and from the mains' flicker.
namespace thumblight::onset {

/// Where the level is settled: frames before `before_end_s`, and from `after_begin_s` on.
struct LevelWindows {
  double before_end_s = 0;
  double after_begin_s = 0;
};

/// What moves the levels besides the step.
struct LevelTerms {
  bool trend = false;     ///< a slow drift (auto exposure)
  double flicker_hz = 0;  ///< of the mains' light: 100 or 120; 0 where there is none
};

struct Levels {
  double before = 0;
  double height = 0;
  std::vector<float> share;      ///< of the step, frame by frame
  std::vector<double> residual;  ///< of `share`, only where settled
  double noise_before = 0;
  double noise_after = 0;
};

struct LevelSeries {
  std::vector<double> start_s;
  std::vector<double> level;
  LevelWindows windows;
};

/// When a series goes from low to high, near `about_s`: the split with the greatest contrast.
double split_s(const std::vector<double>& start_s, const std::vector<double>& level,
               double about_s);

/// Windows around a step near `about_s`: the rise is over once the level stays near its end, and
/// the light may be `unsettled_s` away from its middle on both sides.
LevelWindows windows_for(const std::vector<double>& start_s, const std::vector<double>& level,
                         double about_s, double unsettled_s, double frame_s);

/// The terms that the settled frames of all steps ask for.
LevelTerms choose_terms(const std::vector<LevelSeries>& all);

/// Empty where a window holds too few frames.
std::optional<Levels> fit_levels(const std::vector<double>& start_s,
                                 const std::vector<double>& level, const LevelWindows& windows,
                                 const LevelTerms& terms);

/// How much alike the noise of several places is: 1 where independent, their number where the same.
double likeness_of(const std::vector<Levels>& places, const LevelWindows& windows,
                   const std::vector<double>& start_s);

/// By how much the variance of a mean over time is greater than for independent noise: coders leave
/// the same error in frame after frame.
double persistence_of(const std::vector<Levels>& places, const LevelWindows& windows,
                      const std::vector<double>& start_s);

/// When the mean over the places passes half of the step.
double half_crossing_s(const FilmedStep& step);

}  // namespace thumblight::onset
