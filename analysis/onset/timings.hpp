#pragma once

#include <cstddef>
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
  std::optional<double> u_s;  ///< standard uncertainty: all of this instant's own doubt, and
                              ///< what it shares with the others but for readout, sound and
                              ///< finger; t_s +- 2 u_s holds the truth 19 times of 20
  std::string how;            ///< press: lamp, finger, sound, contact, mark;
                              ///< light: step, change, mark
  std::optional<std::int64_t> frame;  ///< index of the frame or sample that holds the instant
  std::optional<double> t50_s;        ///< light alone: half of the step is made
  std::optional<double> t90_s;        ///< light alone: nine tenths of it
  std::optional<double> from_s;       ///< finger alone: first movement ...
  std::optional<double> to_s;         ///< ... and end of travel, between which the contact lies
  std::optional<double> level;        ///< height of the step, linear light or full scale of a trace
  std::optional<int> passes;  ///< mark made on the frames: how many passes it is the mean of
};

/// Flag of a press whose light cannot be told from ordinary motion: for a person to look at.
inline constexpr char kDoubtful[] = "doubtful";

/// What was seen of one press; an instant that was not seen is empty.
struct PressTiming {
  std::int64_t index = 0;
  std::optional<Instant> press;
  std::optional<Instant> light;
  std::optional<Instant> lamp;  ///< a lamp that the host switches
  std::vector<std::string> flags;
  std::optional<std::string> left_out;  ///< by hand, for this reason: shown, in no summary
};

/// The clock of the recording.
struct RecordingClock {
  std::string source;                ///< stamps, capture-rate, samples, host or stated
  std::optional<double> rate_hz;     ///< as the times give it
  std::optional<double> nominal_hz;  ///< as marked or stated
  std::string why;                   ///< one sentence on the choice of the source
  std::optional<double> log_rate;    ///< host seconds for one recording second, from the lights
  std::optional<double> log_rate_u;  ///< its standard uncertainty
};

/// A rectangle of pixels of the upright picture.
struct Region {
  double x = 0;
  double y = 0;
  double w = 0;
  double h = 0;
};

/// What the camera did, as found or stated; empty for a trace.
struct CameraInfo {
  std::int64_t frames = 0;
  std::int64_t dropped = 0;  ///< frames missing from an even grid of times
  std::int64_t doubled = 0;  ///< frames that show the one before again
  std::int64_t odd_stamps = 0;
  std::int64_t faults = 0;  ///< met while decoding
  bool steady = true;
  int width = 0;  ///< of the upright picture
  int height = 0;
  int rotation_deg = 0;
  std::string codec;
  std::string transfer;
  bool full_range = false;
  int bit_depth = 8;
  std::optional<double> exposure_s;
  std::optional<double> exposure_u_s;
  std::string exposure_source;  ///< stated or estimated
  std::optional<double> readout_s;
  std::string readout_source;     ///< stated, estimated or unknown
  bool bottom_row_first = false;  ///< the sensor reads the stored picture upwards
  std::optional<Region> patch;    ///< or where change was looked for
  std::optional<Region> press;
  std::optional<Region> lamp;
};

/// How the light rose, over all presses.
struct LightInfo {
  double threshold = 0.1;        ///< share of the step that counts as light
  std::optional<double> rise_s;  ///< 10-90 %; empty where not resolved
  std::optional<double> rise_u_s;
  std::optional<double> rise_below_s;  ///< the rise is shorter than this, if not resolved
  std::optional<double> scan_s;        ///< from the patch's first row to its last, signed
};

/// The source of the camera's readout. It moves press, light and lamp one way, each by its row's
/// share, so that their difference holds the difference of its doubts alone.
inline constexpr char kReadout[] = "readout";

/// An uncertainty that all presses share, so that averaging does not lessen it.
struct SharedDoubt {
  std::string source;  ///< readout, exposure, change, sound, finger or exposure of marked frames
  std::string on;      ///< press, light, lamp, total (one of the two instants, so that it shifts
                       ///< their difference) or both (both alike, so that it does not)
  double u_s = 0;
};

struct RecordingInfo {
  std::string file;
  std::string kind;  ///< video, images, sound, samples or table
  RecordingClock clock;
  std::optional<CameraInfo> camera;
  std::optional<LightInfo> light;
  std::vector<SharedDoubt> shared;
};

/// A doubt about a measurement, from a closed list, with what to do about it.
struct Warning {
  std::string code;
  std::string text;
  std::string remedy;
};

/// How well one person places the same instants again: the within-person standard deviation.
struct Repeatability {
  double sd_s = 0;           ///< of one mark
  double dof = 0;            ///< of `sd_s`
  std::size_t instants = 0;  ///< placed in two passes or more
};

/// What of the timings a person has said.
struct HandMarks {
  std::size_t presses = 0;  ///< instants placed by hand
  std::size_t lights = 0;
  std::size_t added = 0;     ///< presses that the tool did not find
  std::size_t left_out = 0;  ///< presses
  int passes = 0;
  std::optional<Repeatability> press;  ///< empty where nothing was placed twice
  std::optional<Repeatability> light;
};

struct Timings {
  RecordingInfo recording;
  std::vector<PressTiming> presses;  ///< in order of time
  std::vector<Warning> warnings;
  std::optional<HandMarks> by_hand;  ///< empty where the timings are as they were read
};

}  // namespace thumblight::onset
