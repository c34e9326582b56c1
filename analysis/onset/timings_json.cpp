#include <cmath>
#include <nlohmann/json.hpp>

#include "analysis/onset/timings_forms.hpp"
#include "analysis/onset/timings_reader.hpp"
#include "harness/session/error.hpp"

namespace thumblight::onset {
namespace {

using Json = nlohmann::json;

/// What a fault shows of the value found; never the inside of a list or an object, however deep.
std::string describe(const Json& value) {
  if (value.is_object()) {
    return "an object";
  }
  if (value.is_array()) {
    return "a list";
  }
  return value.dump(-1, ' ', true, Json::error_handler_t::replace).substr(0, 40);
}

/// A value with the path that leads to it: where a fault is said to be.
class Node {
 public:
  Node(const Json& value, std::string file, std::string path)
      : value_(&value), file_(std::move(file)), path_(std::move(path)) {}

  [[noreturn]] void fail(const std::string& what) const {
    throw Error(file_ + ": the key '" + path_ + "' " + what);
  }

  /// The value at `key`; empty where it is absent or `null`.
  std::optional<Node> find(const char* key) const {
    const auto found = value_->find(key);
    if (found == value_->end() || found->is_null()) {
      return std::nullopt;
    }
    return Node(*found, file_, path_.empty() ? key : path_ + "." + key);
  }

  Node need(const char* key) const {
    const std::optional<Node> found = find(key);
    if (!found) {
      throw Error(file_ + ": the key '" + (path_.empty() ? "" : path_ + ".") + key +
                  "' is missing");
    }
    return *found;
  }

  Node object() const {
    require(value_->is_object(), "an object");
    return *this;
  }

  std::vector<Node> items() const {
    require(value_->is_array(), "a list");
    std::vector<Node> nodes;
    nodes.reserve(value_->size());
    for (std::size_t k = 0; k < value_->size(); ++k) {
      nodes.emplace_back((*value_)[k], file_, path_ + "[" + std::to_string(k) + "]");
    }
    return nodes;
  }

  std::string text() const {
    require(value_->is_string(), "a text");
    return value_->get<std::string>();
  }

  std::int64_t whole() const {
    require(value_->is_number_integer() &&
                !(value_->is_number_unsigned() && value_->get<std::uint64_t>() > INT64_MAX),
            "a whole number");
    return value_->get<std::int64_t>();
  }

  double number() const {
    require(value_->is_number(), "a number");
    return value_->get<double>();
  }

  double time_s() const {
    const double t_s = number();
    require(std::abs(t_s) <= kFarthestTimeSeconds, "a time of at most 9e9 seconds");
    return t_s;
  }

  double not_negative() const {
    const double value = number();
    require(value >= 0, "a number that is not negative");
    return value;
  }

  double positive() const {
    const double value = number();
    require(value > 0, "a number above 0");
    return value;
  }

 private:
  void require(bool holds, const char* what) const {
    if (!holds) {
      fail(std::string("must be ") + what + "; found " + describe(*value_));
    }
  }

  const Json* value_;
  std::string file_;
  std::string path_;
};

std::string text_or_empty(const Node& object, const char* key) {
  const std::optional<Node> found = object.find(key);
  return found ? found->text() : "";
}

template <typename Value>
std::optional<Value> maybe(const Node& object, const char* key, Value (Node::*read)() const) {
  const std::optional<Node> found = object.find(key);
  return found ? std::optional<Value>((*found.*read)()) : std::nullopt;
}

std::optional<Instant> read_instant(const Node& press, const char* key) {
  const std::optional<Node> node = press.find(key);
  if (!node) {
    return std::nullopt;
  }
  const Node object = node->object();
  Instant instant;
  instant.t_s = object.need("t_s").time_s();
  instant.u_s = maybe(object, "u_s", &Node::not_negative);
  instant.how = text_or_empty(object, "how");
  instant.frame = maybe(object, "frame", &Node::whole);
  instant.t50_s = maybe(object, "t50_s", &Node::time_s);
  instant.t90_s = maybe(object, "t90_s", &Node::time_s);
  return instant;
}

PressTiming read_press(const Node& node) {
  const Node object = node.object();
  PressTiming press;
  press.index = object.need("index").whole();
  press.press = read_instant(object, "press");
  press.light = read_instant(object, "light");
  press.lamp = read_instant(object, "lamp");
  if (const std::optional<Node> flags = object.find("flags")) {
    for (const Node& flag : flags->items()) {
      press.flags.push_back(flag.text());
    }
  }
  return press;
}

std::vector<PressTiming> read_presses(const Node& list) {
  std::vector<PressTiming> presses;
  const std::vector<Node> nodes = list.items();
  for (const Node& node : nodes) {
    presses.push_back(read_press(node));
    if (presses.size() > 1 && presses.back().index <= presses[presses.size() - 2].index) {
      node.need("index").fail("must be greater than the one before it");
    }
  }
  if (const std::optional<Disorder> disorder = find_disorder(presses)) {
    nodes[disorder->at]
        .need(disorder->what)
        .need("t_s")
        .fail("is earlier than the one before it; presses must be in order of time");
  }
  return presses;
}

RecordingInfo read_recording(const Node& object) {
  RecordingInfo recording;
  recording.file = text_or_empty(object, "file");
  recording.kind = text_or_empty(object, "kind");
  if (const std::optional<Node> node = object.find("clock")) {
    const Node clock = node->object();
    recording.clock.source = text_or_empty(clock, "source");
    recording.clock.rate_hz = maybe(clock, "rate_hz", &Node::positive);
    recording.clock.nominal_hz = maybe(clock, "nominal_hz", &Node::positive);
  }
  return recording;
}

Warning read_warning(const Node& node) {
  const Node object = node.object();
  return {object.need("code").text(), text_or_empty(object, "text"),
          text_or_empty(object, "remedy")};
}

void check_format(const Node& root, const std::string& name) {
  if (root.need("format").text() != kTimingsFormat) {
    root.need("format").fail(std::string("must be '") + kTimingsFormat +
                             "'; this file holds something else");
  }
  const std::int64_t version = root.need("version").whole();
  if (version > kTimingsVersion) {
    throw Error(name + ": the timings have version " + std::to_string(version) +
                " and this program reads up to version " + std::to_string(kTimingsVersion) +
                "; update it to read them");
  }
}

Json parse(std::string_view text, const std::string& name) {
  try {
    return Json::parse(text);
  } catch (const Json::parse_error& error) {
    const std::string_view before = text.substr(0, error.byte);
    const auto line = 1 + std::count(before.begin(), before.end(), '\n');
    throw Error(name + ", line " + std::to_string(line) +
                ": not valid JSON here; if the file was cut short, make it anew");
  } catch (const Json::exception&) {
    throw Error(name + ": holds a number beyond every range; times are seconds up to 9e9");
  }
}

}  // namespace

Timings read_timings_json(std::string_view text, const std::string& name) {
  const Json json = parse(text, name);
  const Node root(json, name, "");
  check_format(root, name);
  Timings timings;
  if (const std::optional<Node> recording = root.find("recording")) {
    timings.recording = read_recording(recording->object());
  }
  timings.presses = read_presses(root.need("presses"));
  if (const std::optional<Node> warnings = root.find("warnings")) {
    for (const Node& warning : warnings->items()) {
      timings.warnings.push_back(read_warning(warning));
    }
  }
  return timings;
}

}  // namespace thumblight::onset
