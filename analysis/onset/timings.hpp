#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

/// The instants read off one recording. Times are seconds on the recording's own clock; whatever
/// is unknown is an empty optional, never 0.
namespace thumblight::onset {

inline constexpr char kTimingsFormat[] = "thumblight-timings";
inline constexpr int kTimingsVersion = 1;

/// One instant: when, how uncertain, how it was found.
struct Instant {
  double t_s = 0;
  std::optional<double> u_s;          ///< standard uncertainty
  std::string how;                    ///< press: lamp, finger, sound, contact, mark;
                                      ///< light: step, change, mark
  std::optional<std::int64_t> frame;  ///< index of the frame or sample that holds the instant
  std::optional<double> t50_s;        ///< light alone: half of the step is made
  std::optional<double> t90_s;        ///< light alone: nine tenths of it
};

/// What was seen of one press; an instant that was not seen is empty.
struct PressTiming {
  std::int64_t index = 0;
  std::optional<Instant> press;
  std::optional<Instant> light;
  std::optional<Instant> lamp;  ///< a lamp that the host switches
  std::vector<std::string> flags;
};

/// The clock of the recording.
struct RecordingClock {
  std::string source;  ///< stamps, capture-rate, samples, host or stated
  std::optional<double> rate_hz;
  std::optional<double> nominal_hz;
};

struct RecordingInfo {
  std::string file;
  std::string kind;  ///< video, images, sound, samples or table
  RecordingClock clock;
};

/// A doubt about a measurement, from a closed list, with what to do about it.
struct Warning {
  std::string code;
  std::string text;
  std::string remedy;
};

struct Timings {
  RecordingInfo recording;
  std::vector<PressTiming> presses;  ///< in order of time
  std::vector<Warning> warnings;
};

}  // namespace thumblight::onset
