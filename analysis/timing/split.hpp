#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "analysis/onset/timings.hpp"
#include "analysis/timing/clock_link.hpp"
#include "analysis/timing/portions.hpp"
#include "harness/session/records.hpp"

/// Splits the way from press to light into its portions.
///
/// `total` is light - press on the recording's clock. `render` is flip - arrival on the host's.
/// `remainder` = total - render, press by press, once the presses of both are paired. The rest
/// depends on the clock link:
/// - shared: the recording is stamped on the host's clock, so every portion is known;
/// - causality: delivery, screen and display are bounded in the mean, see causality.hpp;
/// - none: nothing more.
namespace thumblight::timing {

/// Each instant may be off by this many of its standard uncertainties, for bounds and for what
/// counts as an effect before its cause. A rectangular distribution ends at sqrt(3) of them
/// (JCGM 100:2008, 4.3.7); 3 takes in 99.7 % of a normal one too.
inline constexpr double kWidening = 3.0;

struct PressSplit {
  std::optional<std::int64_t>
      recorded_index;                        ///< in the timings; empty for a press in the log alone
  std::optional<std::int64_t> logged_index;  ///< in the log; empty for one in the recording alone
  PortionValues portions_ms;
  std::optional<double> total_u_ms;  ///< standard uncertainty of the total from its two instants
  std::vector<std::string> flags;
};

struct ClockLink {
  ClockLinkKind kind = ClockLinkKind::kNone;
  std::optional<Drift> drift;
  std::optional<bool> feasible;  ///< causality alone: whether any clock is possible
};

/// How the presses of both sides met.
struct PairingCounts {
  std::size_t recorded = 0;
  std::size_t logged = 0;
  std::size_t paired = 0;
};

struct Split {
  std::vector<PressSplit> presses;                   ///< each side in order of time
  PerPortion<std::optional<Bounds>> mean_bounds_ms;  ///< of portions known within bounds alone
  ClockLink clock_link;
  std::string flip_how;  ///< empty without a log
  PairingCounts counts;
  std::vector<onset::Warning> warnings;  ///< those of the timings first
};

/// Flags of a press; the list is closed.
namespace flag {
inline constexpr char kNotInLog[] = "not-in-log";
inline constexpr char kNotInRecording[] = "not-in-recording";
inline constexpr char kPairedByLight[] = "paired-by-light";
inline constexpr char kNotFlashed[] = "not-flashed";
inline constexpr char kPressNotSeen[] = "press-not-seen";
inline constexpr char kLightNotSeen[] = "light-not-seen";
inline constexpr char kLightBeforePress[] = "light-before-press";
inline constexpr char kTotalBelowRender[] = "total-below-render";
inline constexpr char kPressAfterArrival[] = "press-after-arrival";
inline constexpr char kLightBeforeSubmit[] = "light-before-submit";
}  // namespace flag

/// Splits every press. `log` is null where there is none; any link but none then throws `Error`, as
/// do timings without a press.
Split split_presses(const onset::Timings& timings, const session::Log* log, ClockLinkKind kind);

}  // namespace thumblight::timing
