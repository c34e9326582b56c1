#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "analysis/statistics/interval.hpp"
#include "analysis/statistics/mean_difference.hpp"

namespace thumblight::statistics {

enum class VerdictReason {
  kResolved,
  kTooFewPresses,      ///< a set-up has fewer than two presses
  kBelowResolution,    ///< the instruments leave more open than the difference amounts to
  kWithinUncertainty,  ///< scatter and instruments together leave more open
  kOneOfMany           ///< resolved alone, but not among the comparisons made together
};

/// Whether two set-ups really differ, and by how much.
struct Verdict {
  VerdictReason reason;
  std::optional<double> difference_ms;      ///< A less B: negative where A answers sooner
  std::optional<double> difference_frames;  ///< the same in frames of 60 Hz
  std::optional<double> uncertainty_ms;     ///< half-width that scatter and instruments leave
  double resolution_ms;                     ///< the instruments' part of it
  double level;

  bool resolved() const { return reason == VerdictReason::kResolved; }
};

/// Judges a difference of means in milliseconds. `resolution_ms` is the half-width, at the
/// interval's level, of what the instruments leave open in the difference however many presses are
/// made. It joins the interval's half-width as root sum of squares (JCGM 100:2008, 5.1.2), and a
/// difference counts only where it is greater than both together. `adjusted_p` is the probability
/// after `holm_adjusted` where several comparisons are made; it must not be above 1 - level. Throws
/// `Error` if the resolution is negative or not finite.
Verdict judge(const std::optional<MeanDifference>& means_ms, double resolution_ms,
              std::optional<double> adjusted_p = std::nullopt, double level = 0.95);

/// The verdict as a plain sentence, with no more digits than its uncertainty carries.
std::string sentence(const Verdict& verdict, std::string_view name_a, std::string_view name_b);

}  // namespace thumblight::statistics
