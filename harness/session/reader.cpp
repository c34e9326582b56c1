#include "harness/session/reader.hpp"

#include <fstream>
#include <nlohmann/json.hpp>

#include "harness/session/error.hpp"

namespace thumblight::session {
namespace {

using Json = nlohmann::json;

/// A line holds one record; the longest that the writer makes is a header of about 2 KiB.
constexpr std::size_t kLongestLine = 1 << 20;

/// A reading place: where a fault is said to be.
struct Place {
  std::string name;
  std::int64_t line = 0;

  [[noreturn]] void fail(const std::string& what) const {
    throw Error(name + ", line " + std::to_string(line) + ": " + what);
  }
};

const Json* find(const Json& object, const char* key) {
  const auto found = object.find(key);
  return found == object.end() ? nullptr : &*found;
}

bool holds(const Json& value, const std::int64_t*) {
  return value.is_number_integer() &&
         !(value.is_number_unsigned() && value.get<std::uint64_t>() > INT64_MAX);
}
bool holds(const Json& value, const int*) {
  return holds(value, static_cast<std::int64_t*>(nullptr)) &&
         value.get<std::int64_t>() >= INT32_MIN && value.get<std::int64_t>() <= INT32_MAX;
}
bool holds(const Json& value, const double*) {
  return value.is_number();
}
bool holds(const Json& value, const bool*) {
  return value.is_boolean();
}
bool holds(const Json& value, const std::string*) {
  return value.is_string();
}

const char* expected(const std::int64_t*) {
  return "a whole number";
}
const char* expected(const int*) {
  return "a whole number";
}
const char* expected(const double*) {
  return "a number";
}
const char* expected(const bool*) {
  return "true or false";
}
const char* expected(const std::string*) {
  return "a text";
}

template <typename Value>
void take(const Json& value, const char* key, Value& into, const Place& place) {
  if (!holds(value, &into)) {
    place.fail("the key '" + std::string(key) + "' must be " + expected(&into) + "; found " +
               value.dump(-1, ' ', false, Json::error_handler_t::replace).substr(0, 40));
  }
  value.get_to(into);
}

template <typename Value>
void need(const Json& object, const char* key, Value& into, const Place& place) {
  const Json* value = find(object, key);
  if (value == nullptr) {
    place.fail("the key '" + std::string(key) + "' is missing");
  }
  take(*value, key, into, place);
}

/// Absent and `null` alike leave `into` as it is.
template <typename Value>
void maybe(const Json& object, const char* key, Value& into, const Place& place) {
  const Json* value = find(object, key);
  if (value != nullptr && !value->is_null()) {
    take(*value, key, into, place);
  }
}

template <typename Value>
void maybe(const Json& object, const char* key, std::optional<Value>& into, const Place& place) {
  const Json* value = find(object, key);
  if (value != nullptr && !value->is_null()) {
    take(*value, key, into.emplace(), place);
  }
}

const Json& object_at(const Json& object, const char* key, const Place& place) {
  const Json* value = find(object, key);
  if (value == nullptr || !value->is_object()) {
    place.fail("the key '" + std::string(key) + "' must hold an object");
  }
  return *value;
}

void maybe(const Json& object, const char* key, std::optional<Intervals>& into,
           const Place& place) {
  const Json* value = find(object, key);
  if (value == nullptr || value->is_null()) {
    return;
  }
  const Json& intervals = object_at(object, key, place);
  into.emplace();
  need(intervals, "median", into->median_ns, place);
  need(intervals, "min", into->min_ns, place);
  need(intervals, "max", into->max_ns, place);
}

Host read_host(const Json& object, const Place& place) {
  Host host;
  maybe(object, "platform", host.platform, place);
  maybe(object, "cpus", host.cpus, place);
  maybe(object, "memory_mib", host.memory_mib, place);
  maybe(object, "sdl", host.sdl_version, place);
  maybe(object, "video_driver", host.video_driver, place);
  maybe(object, "harness", host.harness_version, place);
  maybe(object, "build", host.build_type, place);
  return host;
}

Display read_display(const Json& object, const Place& place) {
  Display display;
  maybe(object, "index", display.index, place);
  maybe(object, "name", display.name, place);
  need(object, "width", display.width, place);
  need(object, "height", display.height, place);
  maybe(object, "mode_width", display.mode_width, place);
  maybe(object, "mode_height", display.mode_height, place);
  maybe(object, "refresh_hz", display.refresh_hz, place);
  maybe(object, "fullscreen", display.fullscreen, place);
  maybe(object, "renderer", display.renderer, place);
  maybe(object, "vsync", display.vsync, place);
  maybe(object, "measured_interval_ns", display.measured_interval, place);
  return display;
}

Patch read_patch(const Json& object, const Place& place) {
  Patch patch;
  need(object, "x", patch.x, place);
  need(object, "y", patch.y, place);
  need(object, "w", patch.w, place);
  need(object, "h", patch.h, place);
  maybe(object, "bright", patch.bright_level, place);
  maybe(object, "dark", patch.dark_level, place);
  maybe(object, "hold_ns", patch.hold_ns, place);
  maybe(object, "rest_ns", patch.rest_ns, place);
  return patch;
}

Input read_input(const Json& object, const Place& place) {
  Input input;
  maybe(object, "kind", input.kind, place);
  maybe(object, "control", input.control, place);
  maybe(object, "device", input.device, place);
  maybe(object, "bus", input.bus, place);
  maybe(object, "driver", input.driver, place);
  maybe(object, "guid", input.guid, place);
  maybe(object, "vendor", input.vendor, place);
  maybe(object, "product", input.product, place);
  maybe(object, "waiting", input.waiting, place);
  return input;
}

std::map<std::string, std::string> read_labels(const Json& object, const Place& place) {
  std::map<std::string, std::string> labels;
  const Json* value = find(object, "labels");
  if (value == nullptr || value->is_null()) {
    return labels;
  }
  for (const auto& [name, text] : object_at(object, "labels", place).items()) {
    take(text, name.c_str(), labels[name], place);
  }
  return labels;
}

Header read_header(const Json& object, const Place& place) {
  Header header;
  std::string format;
  std::int64_t version = 0;
  need(object, "format", format, place);
  if (format != kFormat) {
    place.fail("this is no session log: the key 'format' says '" + format.substr(0, 40) +
               "', not '" + kFormat + "'");
  }
  need(object, "version", version, place);
  if (version > kVersion) {
    place.fail("the log has version " + std::to_string(version) +
               " and this program reads up to version " + std::to_string(kVersion) +
               "; update it to read this log");
  }
  maybe(object, "started_utc", header.started_utc, place);
  need(object, "clock", header.clock, place);
  maybe(object, "clock_resolution_ns", header.clock_resolution_ns, place);
  if (find(object, "host") != nullptr) {
    header.host = read_host(object_at(object, "host", place), place);
  }
  header.display = read_display(object_at(object, "display", place), place);
  header.patch = read_patch(object_at(object, "patch", place), place);
  maybe(object, "pacing", header.pacing, place);
  header.input = read_input(object_at(object, "input", place), place);
  header.labels = read_labels(object, place);
  return header;
}

Press read_press(const Json& object, const Place& place) {
  Press press;
  need(object, "index", press.index, place);
  need(object, "arrival_ns", press.arrival_ns, place);
  need(object, "flashed", press.flashed, place);
  maybe(object, "submit_ns", press.submit_ns, place);
  maybe(object, "present_ns", press.present_ns, place);
  maybe(object, "frame", press.frame, place);
  maybe(object, "control", press.control, place);
  maybe(object, "withheld", press.withheld, place);
  if (press.flashed && !press.submit_ns) {
    place.fail("press " + std::to_string(press.index) + " flashed, but its 'submit_ns' is missing");
  }
  if (press.submit_ns && *press.submit_ns < press.arrival_ns) {
    place.fail("press " + std::to_string(press.index) +
               " has a 'submit_ns' before its 'arrival_ns'");
  }
  return press;
}

Dark read_dark(const Json& object, const Place& place) {
  Dark dark;
  need(object, "index", dark.index, place);
  need(object, "submit_ns", dark.submit_ns, place);
  need(object, "present_ns", dark.present_ns, place);
  maybe(object, "frame", dark.frame, place);
  return dark;
}

Lamp read_lamp(const Json& object, const Place& place) {
  Lamp lamp;
  need(object, "index", lamp.index, place);
  need(object, "on", lamp.on, place);
  need(object, "switched_ns", lamp.switched_ns, place);
  return lamp;
}

Exchange read_exchange(const Json& object, const Place& place) {
  Exchange exchange;
  need(object, "t1_ns", exchange.t1_ns, place);
  need(object, "t2_s", exchange.t2_s, place);
  need(object, "t3_s", exchange.t3_s, place);
  need(object, "t4_ns", exchange.t4_ns, place);
  return exchange;
}

Pace read_pace(const Json& object, const Place& place) {
  Pace pace;
  need(object, "frames", pace.frames, place);
  maybe(object, "missed", pace.missed, place);
  maybe(object, "interval_ns", pace.interval, place);
  return pace;
}

Device read_device(const Json& object, const Place& place) {
  Device device;
  need(object, "connected", device.connected, place);
  need(object, "at_ns", device.at_ns, place);
  maybe(object, "device", device.device, place);
  return device;
}

Focus read_focus(const Json& object, const Place& place) {
  Focus focus;
  need(object, "gained", focus.gained, place);
  need(object, "at_ns", focus.at_ns, place);
  return focus;
}

End read_end(const Json& object, const Place& place) {
  End end;
  need(object, "presses", end.presses, place);
  need(object, "reason", end.reason, place);
  return end;
}

/// Puts the record of one line into the log; a kind that is not known is passed over.
void add_record(const Json& object, Log& log, const Place& place) {
  std::string kind;
  need(object, "record", kind, place);
  if (kind == "session") {
    place.fail("a second 'session' record; a log holds one session");
  } else if (kind == "press") {
    log.presses.push_back(read_press(object, place));
  } else if (kind == "dark") {
    log.darks.push_back(read_dark(object, place));
  } else if (kind == "lamp") {
    log.lamps.push_back(read_lamp(object, place));
  } else if (kind == "exchange") {
    log.exchanges.push_back(read_exchange(object, place));
  } else if (kind == "pace") {
    log.paces.push_back(read_pace(object, place));
  } else if (kind == "device") {
    log.devices.push_back(read_device(object, place));
  } else if (kind == "focus") {
    log.focuses.push_back(read_focus(object, place));
  } else if (kind == "end") {
    log.end = read_end(object, place);
  }
}

/// One line with whether its line feed was there. False at the end of the input.
bool next_line(std::istream& input, std::string& line, bool& complete, const Place& place) {
  line.clear();
  complete = false;
  for (int c = input.get(); c != std::istream::traits_type::eof(); c = input.get()) {
    if (c == '\n') {
      complete = true;
      return true;
    }
    if (line.size() == kLongestLine) {
      place.fail("the line is longer than 1 MiB, so this is no session log");
    }
    line.push_back(static_cast<char>(c));
  }
  return !line.empty();
}

bool is_blank(const std::string& line) {
  return line.find_first_not_of(" \t\r") == std::string::npos;
}

}  // namespace

Log read_log(std::istream& input, const std::string& name) {
  Log log;
  Place place{name};
  bool has_header = false;
  std::string line;
  for (bool complete = true;;) {
    ++place.line;
    if (!next_line(input, line, complete, place)) {
      break;
    }
    // Only a line that was ended is sure to be whole: a number may have lost its last digits.
    if (!complete) {
      log.cut = true;
      break;
    }
    if (is_blank(line)) {
      continue;
    }
    const Json object = Json::parse(line, nullptr, false);
    if (!object.is_object()) {
      place.fail("this line is not a JSON object; a session log has one on every line");
    }
    if (!has_header) {
      std::string kind;
      need(object, "record", kind, place);
      if (kind != "session") {
        place.fail("the first record must be 'session', not '" + kind.substr(0, 40) + "'");
      }
      log.header = read_header(object, place);
      has_header = true;
      continue;
    }
    add_record(object, log, place);
  }
  if (!has_header) {
    throw Error(name +
                ": there is no complete 'session' record in it, so nothing can be read; "
                "the harness writes one when it arms");
  }
  return log;
}

Log read_log(const std::filesystem::path& file) {
  std::ifstream input(file, std::ios::binary);
  if (!input || std::filesystem::is_directory(file)) {
    throw Error(file.string() + ": cannot be read as a session log; check the path");
  }
  return read_log(input, file.string());
}

}  // namespace thumblight::session
