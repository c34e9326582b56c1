#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "analysis/rehearsal/clock_pair.hpp"
#include "analysis/rehearsal/panel.hpp"
#include "analysis/rehearsal/settings.hpp"

/// What really happened on the simulated bench.
namespace thumblight::rehearsal {

/// One instant on every clock.
struct Moment {
  double bench_s = 0;      ///< the simulation's own time: the host's clock, less theta0
  double recording_s = 0;  ///< 0 is the start of the first exposure, or the first sample
  std::int64_t host_ns = 0;
};

/// The contact closes or opens.
struct ContactEdge {
  Moment at;
  bool closed = false;
};

/// What follows from a press that is flashed. Light is that of the patch's centre row; with a game,
/// that of the first changed picture at the centre row of the actor.
struct Flash {
  Moment submit;
  Moment present;
  Moment flip;
  Moment light;  ///< 10 % of the step in luminance
  Moment light_50;
  Moment light_90;
  Moment dark_submit;
  Moment dark_present;
  Moment dark_flip;
  Moment dark_light;  ///< 10 % of the step back
  std::int64_t frame = 0;
  std::int64_t dark_frame = 0;
};

/// The lamp that the host switches.
struct HostLamp {
  Moment switched_on;
  Moment lit;
  Moment switched_off;
  Moment unlit;
};

struct PressTruth {
  std::int64_t index = 0;
  Moment finger_start;             ///< the finger begins to move
  Moment contact;                  ///< the contact closes for the first time
  Moment finger_end;               ///< end of the travel
  Moment release;                  ///< the contact opens for good
  std::vector<ContactEdge> edges;  ///< every closing and opening, bounces included
  Moment arrival;
  std::optional<Flash> flash;  ///< empty where the press came while the patch was lit
  std::optional<HostLamp> lamp;
};

/// A rectangle of pixels: x and y of its corner, then its size.
struct Region {
  double x = 0;
  double y = 0;
  double w = 0;
  double h = 0;
};

struct Regions {
  Region screen;
  Region patch;  ///< with a game: what may change after a press
  Region controller;
  Region finger;  ///< where the finger moves
  std::optional<Region> lamp;
  std::optional<Region> host_lamp;
};

/// One image of the file.
struct FrameTruth {
  double exposure_start_s = 0;  ///< of the first row read, on the recording's clock
  std::int64_t stamp_ticks = 0;
  bool doubled = false;  ///< shows the image before it
};

struct VideoTruth {
  int width = 0;  ///< of the stored picture
  int height = 0;
  double rate_hz = 0;  ///< of the exposures, on the recording's clock
  double exposure_s = 0;
  double readout_s = 0;
  int ticks_per_s = 0;
  std::vector<FrameTruth> frames;
  std::vector<double> dropped_s;  ///< exposure starts of the images that the file lacks
  Regions stored;                 ///< in pixels of the stored picture
  Regions upright;                ///< in pixels of the picture as a player shows it
  double sound_offset_s = 0;      ///< sound of a contact comes this much after it in the file
};

struct SensorTruth {
  double rate_hz = 0;
  std::int64_t samples = 0;
};

struct Truth {
  Settings settings;
  std::string recording;  ///< the file's name
  ClockPair clocks{0, 0.0, 0.0};
  Refresh refresh;  ///< in bench time
  double pwm_phase_s = 0;
  double patch_row = 0;  ///< of the patch's centre, share of the scan-out's way
  double rise_s = 0;     ///< 10 % to 90 %
  double scanout_s = 0;  ///< over the visible screen
  std::vector<PressTruth> presses;
  std::vector<Change> changes;
  double end_s = 0;  ///< of the recording, on the recording's clock
  std::optional<VideoTruth> video;
  std::optional<SensorTruth> sensor;
};

/// The whole course of events, without a recording of it.
Truth make_truth(const Settings& settings);

/// The screen of that course of events.
Panel make_panel(const Truth& truth);

/// Times in recording seconds (`_s`) and host nanoseconds (`_ns`).
std::string truth_text(const Truth& truth);

}  // namespace thumblight::rehearsal
