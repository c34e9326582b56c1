#include "analysis/statistics/verdict.hpp"

#include <cmath>

#include "analysis/statistics/checks.hpp"
#include "analysis/statistics/rounding.hpp"

namespace thumblight::statistics {

namespace {

constexpr double kFramesPerMs = 60.0 / 1000.0;

VerdictReason reason_for(double difference, double uncertainty, double resolution,
                         std::optional<double> adjusted_p, double level) {
  if (std::abs(difference) <= resolution) {
    return VerdictReason::kBelowResolution;
  }
  if (std::abs(difference) <= uncertainty) {
    return VerdictReason::kWithinUncertainty;
  }
  if (adjusted_p && *adjusted_p > 1 - level) {
    return VerdictReason::kOneOfMany;
  }
  return VerdictReason::kResolved;
}

std::string percent(double level) {
  const int decimals = level > 0.99 ? 1 : 0;
  return fixed(level * 100, decimals) + " %";
}

std::string amount(const Verdict& verdict) {
  return fixed(std::abs(*verdict.difference_ms), decimals_for(*verdict.uncertainty_ms)) + " ms";
}

std::string resolved_sentence(const Verdict& verdict, const std::string& a, const std::string& b) {
  const bool a_sooner = *verdict.difference_ms < 0;
  const double uncertainty = *verdict.uncertainty_ms;
  return (a_sooner ? a : b) + " answers " + amount(verdict) + " sooner than " + (a_sooner ? b : a) +
         " (± " + fixed(uncertainty, decimals_for(uncertainty)) + " ms, " + percent(verdict.level) +
         "): " +
         fixed(std::abs(*verdict.difference_frames), decimals_for(uncertainty * kFramesPerMs)) +
         " frames of 60 Hz.";
}

}  // namespace

Verdict judge(const std::optional<MeanDifference>& means_ms, double resolution_ms,
              std::optional<double> adjusted_p, double level) {
  require_not_negative(resolution_ms, "resolution");
  require_share(level, "level of confidence");
  if (!means_ms) {
    return {VerdictReason::kTooFewPresses,
            std::nullopt,
            std::nullopt,
            std::nullopt,
            resolution_ms,
            level};
  }
  const double difference = means_ms->difference;
  const double uncertainty = std::hypot(means_ms->interval.half_width(), resolution_ms);
  return {reason_for(difference, uncertainty, resolution_ms, adjusted_p, means_ms->interval.level),
          difference,
          difference * kFramesPerMs,
          uncertainty,
          resolution_ms,
          means_ms->interval.level};
}

std::string sentence(const Verdict& verdict, std::string_view name_a, std::string_view name_b) {
  const std::string a(name_a);
  const std::string b(name_b);
  switch (verdict.reason) {
    case VerdictReason::kTooFewPresses:
      return "There are too few presses to compare " + a + " with " + b + ".";
    case VerdictReason::kBelowResolution:
      return "Between " + a + " and " + b + " no difference is resolved: " + amount(verdict) +
             " is not more than the instruments leave open (± " +
             fixed(verdict.resolution_ms, decimals_for(verdict.resolution_ms)) + " ms, " +
             percent(verdict.level) + ").";
    case VerdictReason::kWithinUncertainty:
      return "Between " + a + " and " + b + " no difference is resolved: " + amount(verdict) +
             " is not more than its uncertainty (± " +
             fixed(*verdict.uncertainty_ms, decimals_for(*verdict.uncertainty_ms)) + " ms, " +
             percent(verdict.level) + ").";
    case VerdictReason::kOneOfMany:
      return "Between " + a + " and " + b + " no difference is resolved: " + amount(verdict) +
             " would count alone, but not among all the comparisons made together.";
    case VerdictReason::kResolved:
      break;
  }
  return resolved_sentence(verdict, a, b);
}

}  // namespace thumblight::statistics
