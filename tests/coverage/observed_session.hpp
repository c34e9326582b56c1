#pragma once

#include <random>
#include <string>

#include "analysis/onset/timings.hpp"
#include "analysis/rehearsal/truth.hpp"
#include "analysis/timing/split.hpp"
#include "harness/session/records.hpp"

/// Sessions at the level of timings: the rehearsal's course of events, read off by an instrument
/// whose uncertainty is true, without a film.
namespace thumblight::test {

/// How an instant is read.
struct Reading {
  std::string name;
  double frame_s = 0;     ///< counted in frames this long: the first that shows it
  double normal_u_s = 0;  ///< or off by a normal error of this standard deviation
  double shared_u_s = 0;  ///< every light off alike by one draw of this standard deviation
};

struct ObservedSession {
  session::Log log;
  onset::Timings timings;
  timing::SplitBasis basis;
};

/// What the log and the instrument make of it. What is stated of a clock link is drawn from what
/// it states: a lamp's lag anywhere in its range, an exchange's least delay on either way.
ObservedSession observe(rehearsal::Truth truth, timing::ClockLinkKind link, const Reading& reading,
                        std::mt19937_64& random);

/// The portions' means over the presses that were flashed, in ms, the flip taken as `flip_how`.
timing::PerPortion<double> true_means_ms(const rehearsal::Truth& truth,
                                         const std::string& flip_how);

/// The width of the bounds of a mean that exact instants and a known rate would leave: the least
/// delivery, and the least time from when the scan-out reaches the patch's first row to the light,
/// since a clock may be off by either and still break no causality.
double least_width_ms(const rehearsal::Truth& truth, double to_patch_s);

}  // namespace thumblight::test
