#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "analysis/timing/flip.hpp"
#include "analysis/timing/linked_clock.hpp"
#include "analysis/timing/pairing.hpp"

namespace thumblight::timing {

/// Each instant may be off by this many of its standard uncertainties, for bounds and for what
/// counts as an effect before its cause. A rectangular distribution ends at sqrt(3) of them
/// (JCGM 100:2008, 4.3.7); 3 takes in 99.7 % of a normal one too.
inline constexpr double kWidening = 3.0;

/// What is known of one press, each instant in seconds after the base of its own clock.
struct PressRow {
  std::int64_t index = 0;  ///< as people know it: the recording's, else the log's
  const onset::PressTiming* recorded = nullptr;  ///< null for a press in the log alone
  const session::Press* logged = nullptr;        ///< null for one in the recording alone
  std::optional<double> press_s;
  std::optional<double> light_s;
  std::optional<double> arrival_s;
  std::optional<double> submit_s;
  std::optional<double> flip_s;
  std::vector<std::string> flags;

  bool is_paired() const { return recorded != nullptr && logged != nullptr; }
};

/// Both sides merged along their pairs: each press of either once.
std::vector<PressRow> merge_rows(const std::vector<onset::PressTiming>& recording,
                                 const session::Log* log, const Flips& flips,
                                 const Pairing& pairing, const Timebase& base);

/// `kWidening` times the standard uncertainty of an instant; 0 where none is stated.
double widening_s(const std::optional<onset::Instant>& instant);

/// Takes out of each row the instants that cannot be: a light that no flash made, an effect before
/// its cause, judged on the recording alone and, where the host's clock is known on it, across
/// both. The row is flagged.
void drop_impossible(std::vector<PressRow>& rows);
void drop_impossible_across(std::vector<PressRow>& rows, const LinkedClock& clock);

/// Takes their instants and flags out of the rows that were left out by hand, so that they count in
/// nothing.
void clear_left_out(std::vector<PressRow>& rows);

/// Whether the row bears the flag.
bool has_flag(const PressRow& row, const char* flag);

}  // namespace thumblight::timing
