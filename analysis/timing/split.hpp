#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "analysis/onset/timings.hpp"
#include "analysis/timing/clock_link.hpp"
#include "analysis/timing/exchange.hpp"
#include "analysis/timing/flip.hpp"
#include "analysis/timing/frame_phase.hpp"
#include "analysis/timing/host_lamp.hpp"
#include "analysis/timing/portions.hpp"
#include "analysis/timing/scan_out.hpp"
#include "analysis/timing/variation.hpp"
#include "harness/session/records.hpp"

/// Splits the way from press to light into its portions.
///
/// `total` is light - press on the recording's clock, at the host's rate where that is seen to
/// differ. `render` is flip - arrival on the host's. `remainder` = total - render, press by press,
/// once the presses of both are paired. The rest depends on the clock link:
/// - shared: the recording is stamped on the host's clock, so every portion is known;
/// - exchange and lamp: one clock is measured, so every portion is known, all of them off alike by
///   at most half the least round trip or half the lamp's lag range;
/// - causality: delivery, screen and display are bounded in the mean, see causality.hpp;
/// - none: nothing more.
/// How much delivery and screen vary is known under any link, see variation.hpp.
namespace thumblight::timing {

/// What a split may rest on besides the instants.
struct SplitBasis {
  /// A kind alone is a whole basis for most links.
  SplitBasis(ClockLinkKind link = ClockLinkKind::kNone) : kind(link) {}

  ClockLinkKind kind;
  std::optional<LampLag> lamp_lag;           ///< wanted for the link lamp
  std::vector<session::Exchange> exchanges;  ///< beside those in the log
  bool scan_out_prior = true;                ///< no light before the scan-out reaches the patch
  std::optional<double>
      scan_out_share;  ///< part of a refresh in which the visible rows are scanned
};

struct PressSplit {
  std::optional<std::int64_t>
      recorded_index;                        ///< in the timings; empty for a press in the log alone
  std::optional<std::int64_t> logged_index;  ///< in the log; empty for one in the recording alone
  PortionValues portions_ms;
  /// Standard uncertainty of each portion from its instants; empty where one states none.
  PortionValues u_ms;
  std::vector<std::string> flags;
  std::string press_how;  ///< how each instant was found; empty where it was not seen
  std::string light_how;
  std::optional<std::string> left_out;  ///< by hand, for this reason: in no mean, bound or spread
};

/// What placing the instants by hand leaves open in one value of a portion: root mean square over
/// the presses, those that were found by the tool with nothing.
struct MarkRepeatability {
  double u_ms = 0;
  double dof = 0;  ///< of press and light together (Welch and Satterthwaite: JCGM 100:2008, G.4.1)
};

struct ClockLink {
  ClockLinkKind kind = ClockLinkKind::kNone;
  std::optional<Drift> drift;
  std::optional<bool> feasible;          ///< causality alone: whether any clock is possible
  std::optional<LinkedClock> clock;      ///< lamp and exchange
  std::optional<ExchangeLink> exchange;  ///< how many exchanges there were, and the least delay
  std::optional<LampLag> lamp_lag;       ///< as stated; lamp alone
  bool scan_out_prior = true;            ///< as wanted; causality alone
  std::optional<double> scan_out_share;  ///< as stated; causality alone
  ScanOut scan_out;                      ///< the prior that causality rests on
};

/// Something that is off by the same at every press, so that no number of presses lessens it.
struct SharedError {
  std::string source;
  double u_ms = 0;                      ///< standard uncertainty
  std::optional<double> half_width_ms;  ///< of a rectangular distribution; empty for a normal one
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
  PerPortion<std::vector<SharedError>> shared;
  /// Empty where no instant of the portion was placed by hand, or none of its kind twice.
  PerPortion<std::optional<MarkRepeatability>> repeatability;
  ClockLink clock_link;
  std::string flip_how;                   ///< empty without a log
  std::optional<RefreshGrid> refresh;     ///< as the present returns gave it
  std::optional<Variation> variation;     ///< empty without a log
  std::optional<FramePhase> frame_phase;  ///< of lights read frame by frame
  PairingCounts counts;
  std::vector<onset::Warning> warnings;  ///< those of the timings first
};

/// Flags of a press; the list is closed.
namespace flag {
inline constexpr char kNotInLog[] = "not-in-log";
inline constexpr char kNotInRecording[] = "not-in-recording";
inline constexpr char kPairedByLight[] = "paired-by-light";
inline constexpr char kPairedByOrder[] = "paired-by-order";
inline constexpr char kNotFlashed[] = "not-flashed";
inline constexpr char kPressNotSeen[] = "press-not-seen";
inline constexpr char kLightNotSeen[] = "light-not-seen";
inline constexpr char kLightBeforePress[] = "light-before-press";
inline constexpr char kTotalBelowRender[] = "total-below-render";
inline constexpr char kPressAfterArrival[] = "press-after-arrival";
inline constexpr char kLightBeforeSubmit[] = "light-before-submit";
inline constexpr char kLeftOut[] = "left-out";
}  // namespace flag

/// Splits every press. `log` is null where there is none; any link but none then throws `Error`, as
/// do timings without a press, a lamp link without its lag range or without lamps seen on both
/// sides, and an exchange link without exchanges.
Split split_presses(const onset::Timings& timings, const session::Log* log,
                    const SplitBasis& basis);

}  // namespace thumblight::timing
