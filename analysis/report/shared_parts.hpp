#pragma once

#include <string>
#include <vector>

#include "analysis/report/result.hpp"
#include "analysis/timing/portions.hpp"

/// What is off at every press alike in two sessions, and what of it the difference still holds.
///
/// The rule: a part stays in full, both sessions' together as root sum of squares, unless it can be
/// argued that it is off by the same amount in both. That is argued for one part alone, the
/// camera's readout, and only where the person has labelled both sessions with the same `camera`,
/// both films have the same kind, size, rotation and rate, button, patch and host's lamp lie at the
/// same heights of the picture, and the readout was stated or is unknown in both: then one camera
/// reads out the same rows at the same times, and what remains is the difference of the two parts.
/// A readout estimated from each film is off in each by chance, as are exposure and clock link; a
/// click's way and a finger's movement differ from button to button; a flip's wait from one run to
/// the next.
namespace thumblight::report {

/// One source of what is off at every press alike, in milliseconds; 0 where a session has none.
struct SharedPart {
  std::string source;
  double u_a_ms = 0;
  double u_b_ms = 0;
  bool cancels = false;
  double u_ms = 0;  ///< standard uncertainty that it leaves in the difference
};

/// The parts of both sessions, in the order of A's. The labels are looked at for `camera`.
std::vector<SharedPart> shared_parts(const Result& a, const Result& b, timing::Portion portion);

/// Square of what the instants leave open in the mean of a portion with a summary, beyond the
/// presses' scatter, as the portion's budget counts it.
double unseen_variance(const PortionResult& portion);

/// Whether one and the same readout stands behind both, by the rule above.
bool same_readout(const Result& a, const Result& b);

}  // namespace thumblight::report
