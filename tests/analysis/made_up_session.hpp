#pragma once

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <random>
#include <vector>

#include "analysis/onset/timings.hpp"
#include "harness/session/records.hpp"

namespace thumblight::test {

/// What happened at one press, in seconds of the recording's clock, and which side saw it.
struct MadeUpPress {
  double press_s = 0;
  double delivery_s = 0.008;
  double render_s = 0.002;
  double screen_s = 0.020;
  bool flashed = true;
  bool in_log = true;
  bool in_recording = true;
};

/// How the host's clock runs beside the recording's: host = recording + offset + rate x recording.
struct MadeUpClocks {
  double offset_s = 0;
  double rate = 0;

  std::int64_t host_ns(double recording_s) const {
    return std::llround(offset_s * 1e9) + std::llround((recording_s + rate * recording_s) * 1e9);
  }
};

/// Both sides of a session whose truth is known.
struct MadeUpSession {
  onset::Timings timings;
  session::Log log;
  std::vector<std::size_t> recorded;  ///< which press each row of the timings is
  std::vector<std::size_t> logged;    ///< which press each press of the log is
};

inline onset::Instant instant(double t_s, std::optional<double> u_s, const char* how) {
  onset::Instant made;
  made.t_s = t_s;
  made.u_s = u_s;
  made.how = how;
  return made;
}

/// `u_s` is stated for every instant of the recording; the instants themselves are exact.
inline MadeUpSession make_session(const std::vector<MadeUpPress>& presses,
                                  const MadeUpClocks& clocks, std::optional<double> u_s = 0.0) {
  MadeUpSession made;
  made.timings.recording = {"made-up.csv", "table", {"stated", {}, {}}};
  for (std::size_t k = 0; k < presses.size(); ++k) {
    const MadeUpPress& press = presses[k];
    const double arrival_s = press.press_s + press.delivery_s;
    const double submit_s = arrival_s + press.render_s;
    if (press.in_log) {
      session::Press logged;
      logged.index = static_cast<std::int64_t>(made.log.presses.size());
      logged.arrival_ns = clocks.host_ns(arrival_s);
      logged.flashed = press.flashed;
      if (press.flashed) {
        logged.submit_ns = clocks.host_ns(submit_s);
        logged.present_ns = clocks.host_ns(submit_s + 0.001);
      }
      made.log.presses.push_back(logged);
      made.logged.push_back(k);
    }
    if (press.in_recording) {
      onset::PressTiming timing;
      timing.index = static_cast<std::int64_t>(made.timings.presses.size());
      timing.press = instant(press.press_s, u_s, "contact");
      if (press.flashed) {
        timing.light = instant(submit_s + press.screen_s, u_s, "step");
      }
      made.timings.presses.push_back(timing);
      made.recorded.push_back(k);
    }
  }
  made.log.end = session::End{static_cast<std::int64_t>(made.log.presses.size()), "completed"};
  return made;
}

/// The same sequence with every standard library, unlike its distributions.
class Dice {
 public:
  explicit Dice(std::uint32_t seed) : engine_(seed) {}
  double between(double low, double high) {
    return low + (high - low) * static_cast<double>(engine_()) / 4294967296.0;
  }
  bool chance(double share) { return between(0, 1) < share; }
  std::size_t below(std::size_t count) { return engine_() % count; }

 private:
  std::mt19937 engine_;
};

/// `count` presses at uneven gaps, as a hand presses when asked to vary its rhythm.
inline std::vector<MadeUpPress> uneven_presses(std::size_t count, Dice& dice) {
  std::vector<MadeUpPress> presses(count);
  double t_s = 2.5;
  for (MadeUpPress& press : presses) {
    press.press_s = t_s;
    press.delivery_s = dice.between(0.004, 0.012);
    press.render_s = dice.between(0.0005, 0.004);
    t_s += dice.between(0.6, 1.8);
  }
  return presses;
}

}  // namespace thumblight::test
