#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "analysis/report/compared_session.hpp"
#include "analysis/timing/carry_over.hpp"
#include "analysis/timing/portions.hpp"

/// Sessions on the same machine, display, mode and patch lend each other what they know of the
/// screen portion: a wired session tightens a wireless one.
namespace thumblight::report {

/// What carrying over leaves possible for one session, in the mean over its presses.
struct CarriedPortions {
  std::size_t session = 0;  ///< place among the sessions
  timing::Bounds delivery_ms;
  timing::Bounds screen_ms;
  timing::Bounds display_ms;
};

/// Sessions whose logs give no reason why their screen portions should differ.
struct ScreenGroup {
  std::vector<std::size_t> sessions;  ///< places; two or more
  /// Their shared mean, or who contradicts whom, by place among the sessions; neither where too few
  /// of them bound their screen portion.
  std::optional<timing::SharedScreen> screen;
  std::optional<std::pair<std::size_t, std::size_t>> contradiction;
  /// Of the sessions whose portions are known by bounds alone, or not at all.
  std::vector<CarriedPortions> carried;
};

/// A session takes part, as lender or as borrower, where it has the eight presses that tell how far
/// its own mean may lie from the mean in the long run: `kWidening` times the observed standard
/// deviation over the root of n. A session whose screen is measured lends its 95 % interval.
std::vector<ScreenGroup> share_screens(const std::vector<ComparedSession>& sessions);

}  // namespace thumblight::report
