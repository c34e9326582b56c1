#pragma once

#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

#include "analysis/onset/timings.hpp"
#include "harness/session/records.hpp"
#include "tests/session/sample_log.hpp"

/// A bench with known truth for tests of pairing and splitting.
namespace thumblight::test {

/// How a simulated session runs; times in seconds, milliseconds where named so.
struct Bench {
  std::size_t presses = 40;
  double least_gap_s = 0.6;
  double mean_further_gap_s = 0.7;  ///< of an exponential beyond the least gap; 0 for a metronome
  double gap_jitter_s = 0;          ///< normal, for a metronome that is not quite one
  double delivery_ms = 4;
  double delivery_jitter_ms = 6;  ///< uniform above `delivery_ms`
  double render_ms = 2;
  double render_jitter_ms = 16;
  double screen_ms = 20;
  double screen_jitter_ms = 2;
  double offset_s = 1234.5;  ///< host - recording at the recording's 0
  double rate = 0;           ///< how much faster the host's clock runs
  double frame_s = 0;        ///< instants are rounded to this; 0 for exact ones
  std::int64_t host_base_ns = 1'000'000'000'000'000;
};

/// One press as it truly was, in seconds of the host after `Bench::host_base_ns`.
struct TruePress {
  double press_s = 0;
  double arrival_s = 0;
  double submit_s = 0;
  double light_s = 0;
};

inline std::vector<TruePress> simulate(const Bench& bench, std::mt19937& random) {
  std::uniform_real_distribution<double> share(0, 1);
  std::exponential_distribution<double> further(1);
  std::normal_distribution<double> normal(0, 1);
  std::vector<TruePress> presses;
  double now_s = 2;
  for (std::size_t k = 0; k < bench.presses; ++k) {
    TruePress press;
    press.press_s = now_s;
    press.arrival_s =
        press.press_s + 1e-3 * (bench.delivery_ms + bench.delivery_jitter_ms * share(random));
    press.submit_s =
        press.arrival_s + 1e-3 * (bench.render_ms + bench.render_jitter_ms * share(random));
    press.light_s =
        press.submit_s + 1e-3 * (bench.screen_ms + bench.screen_jitter_ms * share(random));
    presses.push_back(press);
    now_s += bench.least_gap_s + bench.mean_further_gap_s * further(random) +
             bench.gap_jitter_s * normal(random);
  }
  return presses;
}

inline std::int64_t host_ns(const Bench& bench, double t_s) {
  return bench.host_base_ns + std::llround(t_s * 1e9);
}

/// The instant as the recording sees it: its clock is off and has frames.
inline onset::Instant seen(const Bench& bench, double t_s) {
  onset::Instant instant;
  instant.t_s = (t_s - bench.offset_s) / (1 + bench.rate);
  instant.how = "mark";
  instant.u_s = 0;
  if (bench.frame_s > 0) {
    instant.frame = std::llround(instant.t_s / bench.frame_s);
    instant.t_s = static_cast<double>(*instant.frame) * bench.frame_s;
    instant.u_s = bench.frame_s / std::sqrt(12.0);
  }
  return instant;
}

inline session::Press logged(const Bench& bench, const TruePress& press, std::int64_t index) {
  session::Press record;
  record.index = index;
  record.arrival_ns = host_ns(bench, press.arrival_s);
  record.submit_ns = host_ns(bench, press.submit_s);
  record.present_ns = *record.submit_ns + 500'000;
  return record;
}

/// `index` is the true number of the press, so that a pair is right if both sides bear one number.
inline onset::PressTiming recorded(const Bench& bench, const TruePress& press, std::int64_t index) {
  onset::PressTiming timing;
  timing.index = index;
  timing.press = seen(bench, press.press_s);
  timing.light = seen(bench, press.light_s);
  return timing;
}

struct SimulatedSession {
  session::Log log;
  onset::Timings timings;
};

inline SimulatedSession observe(const Bench& bench, const std::vector<TruePress>& presses) {
  SimulatedSession session;
  session.log.header = sample_header();
  session.log.end = session::End{static_cast<std::int64_t>(presses.size()), "completed"};
  session.timings.recording = {"camera.mp4", "video", {"stamps", {}, {}}};
  for (std::size_t k = 0; k < presses.size(); ++k) {
    session.log.presses.push_back(logged(bench, presses[k], static_cast<std::int64_t>(k)));
    session.timings.presses.push_back(recorded(bench, presses[k], static_cast<std::int64_t>(k)));
  }
  return session;
}

}  // namespace thumblight::test
