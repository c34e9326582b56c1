#pragma once

#include <optional>
#include <string>
#include <vector>

#include "harness/pages/screens.hpp"
#include "harness/run/clock.hpp"
#include "harness/run/flasher.hpp"
#include "harness/run/frame_meter.hpp"
#include "harness/run/input.hpp"
#include "harness/run/lamp_switch.hpp"
#include "harness/run/pacing.hpp"
#include "harness/run/screen.hpp"
#include "harness/session/writer.hpp"

namespace thumblight::harness {

/// Recognises the device of the control when it is plugged in again.
class DeviceMatcher {
 public:
  virtual ~DeviceMatcher() = default;
  virtual bool same_device(int instance) = 0;
};

struct RunSettings {
  Control control;
  std::string control_name;  ///< as a person reads it
  std::string log_name;      ///< as the log and the options name it
  std::string device_name;
  Rect patch;
  int bright_level = 255;
  int dark_level = 0;
  std::int64_t hold_ns = 0;
  std::int64_t rest_ns = 0;
  std::int64_t presses_wanted = 0;  ///< flashes after which the run ends; 0: never by itself
  PacingKind pacing = PacingKind::kOnPress;
  std::int64_t interval_ns = 0;  ///< of the refresh, for pacing
};

/// One run: from armed to its end. Each press lights the patch in the next frame; every press, dark
/// edge and change of the device goes to the log. A lamp goes on as soon as a press that may flash
/// is taken, before its frame is drawn, and off before the dark frame: it flashes no oftener than
/// the patch, and then the limiter counts whatever the patch's levels are.
class Run {
 public:
  Run(const RunSettings& settings, Clock& clock, Input& input, Screen& screen, session::Sink& log,
      DeviceMatcher& devices, Lamp* lamp = nullptr);

  /// Shows the armed page; from here on presses count.
  void arm();

  /// Runs until the wanted presses are in or somebody ends it. The last records are pace and end.
  RunSummary execute();

 private:
  /// A press whose bright frame is yet to be drawn.
  using Waiting = std::optional<session::Press>;

  void turn();
  void take_events();
  void handle(const InputEvent& event);
  void handle_down(const InputEvent& event);
  void handle_press(const InputEvent& event);
  void write_held_back();
  void write_lamp();
  void handle_device(const InputEvent& event);
  void draw();
  void light(session::Press press, std::int64_t begun_ns);
  void darken(std::int64_t begun_ns);
  FrameTimes show(int level, std::int64_t begun_ns);
  void end(const std::string& reason);
  bool dark_is_due() const;
  bool complete() const;
  std::optional<std::int64_t> next_due_ns() const;
  Page page() const;
  RunSummary summarise() const;

  RunSettings settings_;
  Clock& clock_;
  Input& input_;
  Screen& screen_;
  session::Sink& log_;
  DeviceMatcher& devices_;
  std::unique_ptr<Pacing> pacing_;
  Flasher flasher_;
  FrameMeter meter_;
  LampSwitch lamp_;
  Waiting waiting_;
  std::vector<session::Press> held_back_;  ///< came while one waits; the log is in their order
  std::optional<std::int64_t> held_since_ns_;
  bool connected_ = true;
  bool redraw_ = false;
  std::int64_t frame_ = 0;
  std::int64_t presses_ = 0;
  std::int64_t flashed_ = 0;
  std::int64_t lit_index_ = 0;
  std::vector<std::int64_t> render_ns_;
  std::string end_reason_;
};

}  // namespace thumblight::harness
