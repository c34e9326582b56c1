#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <variant>
#include <vector>

/// The records of a session log. Host times are nanoseconds on the one monotonic clock that the
/// header names; what is unknown is an empty optional (absent or `null` in the file), never 0.
namespace thumblight::session {

inline constexpr char kFormat[] = "thumblight-session";
inline constexpr int kVersion = 1;

/// Intervals between consecutive returns of the present call.
struct Intervals {
  std::int64_t median_ns = 0;
  std::int64_t min_ns = 0;
  std::int64_t max_ns = 0;
};

/// The machine and the libraries that ran the harness.
struct Host {
  std::string platform;
  int cpus = 0;
  int memory_mib = 0;
  std::string sdl_version;
  std::string video_driver;
  std::string harness_version;
  std::string build_type;
};

/// The display as it was driven.
struct Display {
  int index = 0;
  std::string name;
  int width = 0;  ///< pixels of the window's drawing area
  int height = 0;
  int mode_width = 0;  ///< pixels of the display's mode
  int mode_height = 0;
  std::optional<double> refresh_hz;  ///< as the system states it; empty where it states none
  bool fullscreen = true;
  std::string renderer;  ///< SDL's renderer driver, or "surface" for the window's own pixels
  bool vsync = false;
  std::optional<Intervals> measured_interval;  ///< of dark frames presented before the first press
};

/// The patch, in pixels of the window, and its two grey levels, 0-255.
struct Patch {
  int x = 0;
  int y = 0;
  int w = 0;
  int h = 0;
  int bright_level = 255;
  int dark_level = 0;
  std::int64_t hold_ns = 0;
  std::int64_t rest_ns = 0;
};

/// The control under test.
struct Input {
  std::string kind;     ///< key, mouse, button, axis, hat or touch
  std::string control;  ///< as the option `--control` would name it
  std::string device;   ///< the device's name; empty where the system does not tell devices apart
  std::string bus;      ///< usb, bluetooth, virtual, …; empty where unknown
  std::string driver;   ///< SDL's driver for the device; empty where unknown
  std::string guid;     ///< SDL's 32 hexadecimal digits; empty where there is none
  std::optional<int> vendor;
  std::optional<int> product;
  std::string waiting;  ///< how the harness waited for events: "blocking" or "polling"
};

struct Header {
  std::string started_utc;  ///< ISO 8601
  std::string clock;        ///< of every `_ns` value below
  std::int64_t clock_resolution_ns = 1;
  Host host;
  Display display;
  Patch patch;
  std::string pacing;  ///< on-press, every-frame or frame-start
  Input input;
  std::map<std::string, std::string> labels;
};

/// One press. A press that came while the patch was lit or resting is logged and not flashed.
struct Press {
  std::int64_t index = 0;
  std::int64_t arrival_ns = 0;
  std::optional<std::int64_t> submit_ns;
  std::optional<std::int64_t> present_ns;
  std::optional<std::int64_t> frame;
  std::string control;
  bool flashed = true;
  std::string withheld;  ///< why it was not flashed: lit, rest, limit or end; empty where it was
};

/// The frame that turned the patch dark again after press `index`.
struct Dark {
  std::int64_t index = 0;
  std::int64_t submit_ns = 0;
  std::int64_t present_ns = 0;
  std::int64_t frame = 0;
};

/// A lamp switched by the host.
struct Lamp {
  std::int64_t index = 0;
  bool on = false;
  std::int64_t switched_ns = 0;
};

/// One request and answer between host (t1, t4) and sensor (t2, t3, on the sensor's clock).
struct Exchange {
  std::int64_t t1_ns = 0;
  double t2_s = 0;
  double t3_s = 0;
  std::int64_t t4_ns = 0;
};

/// What the frames' timing was over the run.
struct Pace {
  std::int64_t frames = 0;
  std::optional<std::int64_t> missed;  ///< empty where frames are not drawn continually
  std::optional<Intervals> interval;
};

/// The device of the control was unplugged or plugged in again.
struct Device {
  bool connected = false;
  std::int64_t at_ns = 0;
  std::string device;
};

/// The window gained or lost the input focus.
struct Focus {
  bool gained = false;
  std::int64_t at_ns = 0;
};

struct End {
  std::int64_t presses = 0;
  std::string reason;  ///< completed, stopped, closed, interrupted or failed
};

using Record = std::variant<Header, Press, Dark, Lamp, Exchange, Pace, Device, Focus, End>;

/// A whole log, records of each kind in the order of the file.
struct Log {
  Header header;
  std::vector<Press> presses;
  std::vector<Dark> darks;
  std::vector<Lamp> lamps;
  std::vector<Exchange> exchanges;
  std::vector<Pace> paces;
  std::vector<Device> devices;
  std::vector<Focus> focuses;
  std::optional<End> end;  ///< empty where the run was cut short
  bool cut = false;        ///< the last line was incomplete and has been left out
};

}  // namespace thumblight::session
