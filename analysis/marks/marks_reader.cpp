#include "analysis/marks/marks_reader.hpp"

#include <algorithm>
#include <array>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "analysis/onset/json_node.hpp"
#include "harness/session/error.hpp"

namespace thumblight::marks {
namespace {

using Json = nlohmann::json;
using onset::JsonNode;

/// A line holds one record, of some 200 bytes and a reason.
constexpr std::size_t kLongestLine = std::size_t{64} << 10;
/// A third of a million marks; more were not made by hand.
constexpr std::uintmax_t kLargestFile = std::uintmax_t{64} << 20;
/// Of a frame that lasts three seconds and a half.
constexpr double kLargestUncertaintySeconds = 1;
constexpr double kFarthestPixel = 100'000;

constexpr std::array kRegionNames = {"patch", "press", "change"};

std::int64_t whole_up_to(const JsonNode& node, std::int64_t least, std::int64_t most) {
  const std::int64_t value = node.whole();
  if (value < least || value > most) {
    node.fail("must be a whole number from " + std::to_string(least) + " to " +
              std::to_string(most));
  }
  return value;
}

PressRef read_reference(const JsonNode& object) {
  return {whole_up_to(object.need("index"), 0, kLargestIndex),
          object.maybe("near_s", &JsonNode::time_s)};
}

What read_what(const JsonNode& node) {
  const std::string text = node.text();
  if (text != name(What::kPress) && text != name(What::kLight)) {
    node.fail("must be press or light");
  }
  return text == name(What::kPress) ? What::kPress : What::kLight;
}

Action read_mark(const JsonNode& object) {
  Mark mark;
  mark.at = read_reference(object);
  mark.what = read_what(object.need("what"));
  mark.t_s = object.need("t_s").time_s();
  mark.u_s = object.need("u_s").number_within(0, kLargestUncertaintySeconds);
  mark.frame = object.maybe("frame", &JsonNode::whole);
  if (mark.frame && *mark.frame < 0) {
    object.need("frame").fail("must be a whole number that is not negative");
  }
  if (const std::optional<JsonNode> pass = object.find("pass")) {
    mark.pass = static_cast<int>(whole_up_to(*pass, 1, kLargestPass));
  }
  return mark;
}

Action read_region(const JsonNode& object) {
  const JsonNode name = object.need("name");
  const std::string text = name.text();
  if (std::find(kRegionNames.begin(), kRegionNames.end(), text) == kRegionNames.end()) {
    name.fail("must be one of patch, press, change");
  }
  const auto side = [&object](const char* key, double least) {
    return object.need(key).number_within(least, kFarthestPixel);
  };
  return DraggedRegion{text, {side("x", 0), side("y", 0), side("w", 1), side("h", 1)}};
}

/// The action of a line; empty for a kind of record that is not known.
std::optional<Action> read_action(const JsonNode& object, const std::string& kind) {
  if (kind == "mark") {
    return read_mark(object);
  }
  if (kind == "leave-out") {
    return LeaveOut{read_reference(object), object.text_or_empty("reason")};
  }
  if (kind == "take-in") {
    return TakeIn{read_reference(object)};
  }
  if (kind == "region") {
    return read_region(object);
  }
  if (kind == "undo") {
    return Undo{object.need("of").whole()};
  }
  if (kind == "marks") {
    object.need("record").fail("is 'marks' a second time; a file has one header");
  }
  return std::nullopt;
}

void check_header(const JsonNode& object, const std::string& kind) {
  if (kind != "marks") {
    object.need("record").fail("of the first line must be 'marks'");
  }
  const JsonNode format = object.need("format");
  if (format.text() != kMarksFormat) {
    format.fail(std::string("must be '") + kMarksFormat + "'; this file holds something else");
  }
  const std::int64_t version = object.need("version").whole();
  if (version > kMarksVersion) {
    object.need("version").fail("is " + std::to_string(version) +
                                ", and this program reads up to version " +
                                std::to_string(kMarksVersion) + "; update it to read these marks");
  }
}

/// Reads line after line into a `MarkLog`.
class Reading {
 public:
  explicit Reading(const std::string& name) : name_(name) {}

  /// False where the line is none and is the last one, cut short.
  bool take(std::string_view line, bool ended) {
    ++line_;
    if (line.find_first_not_of(" \t\r") == std::string_view::npos) {
      return ended;
    }
    const std::string place = name_ + ", line " + std::to_string(line_);
    if (line.size() > kLongestLine) {
      throw Error(place + ": the line is longer than 64 KiB, so these are no marks");
    }
    // An object that was closed is whole, even where its line feed is missing.
    const Json value = Json::parse(line, nullptr, false);
    if (!value.is_object()) {
      if (!ended) {
        return false;
      }
      throw Error(place +
                  ": this line is not a JSON object; a file of marks has one on every line");
    }
    take_object(JsonNode(value, place, ""));
    return true;
  }

  MarkLog log;

 private:
  void take_object(const JsonNode& object) {
    const std::string kind = object.need("record").text();
    if (!log.has_header) {
      check_header(object, kind);
      log.has_header = true;
      return;
    }
    std::optional<Action> action = read_action(object, kind);
    if (!action) {
      return;
    }
    const JsonNode id = object.need("id");
    Entry entry{id.whole(), object.text_or_empty("made_utc"), std::move(*action)};
    if (entry.id <= (log.entries.empty() ? 0 : log.entries.back().id) || entry.id == INT64_MAX) {
      id.fail("must be greater than the one before it");
    }
    if (const Undo* undo = std::get_if<Undo>(&entry.action); undo != nullptr) {
      check_undone(*undo, object.need("of"));
    }
    log.entries.push_back(std::move(entry));
  }

  void check_undone(const Undo& undo, const JsonNode& of) const {
    const bool known =
        std::binary_search(log.entries.begin(), log.entries.end(), Entry{undo.of, "", Undo{}},
                           [](const Entry& a, const Entry& b) { return a.id < b.id; });
    if (!known) {
      of.fail("must be the id of an earlier record");
    }
  }

  std::string name_;
  std::int64_t line_ = 0;
};

}  // namespace

MarkLog read_marks(std::string_view text, const std::string& name) {
  Reading reading(name);
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t feed = text.find('\n', from);
    const bool ended = feed != std::string_view::npos;
    const std::size_t to = ended ? feed : text.size();
    if (!reading.take(text.substr(from, to - from), ended)) {
      reading.log.cut = true;
      break;
    }
    from = ended ? feed + 1 : text.size();
    reading.log.whole_bytes = from;
    reading.log.open_end = !ended;
  }
  return std::move(reading.log);
}

MarkLog read_marks(const std::filesystem::path& file) {
  if (!std::filesystem::exists(file)) {
    return {};
  }
  std::ifstream input(file, std::ios::binary);
  if (!input || !std::filesystem::is_regular_file(file)) {
    throw Error(file.string() + ": cannot be read as marks; check its rights");
  }
  if (std::filesystem::file_size(file) > kLargestFile) {
    throw Error(file.string() + ": larger than 64 MiB, so these are no marks made by hand");
  }
  const std::string text{std::istreambuf_iterator<char>(input), std::istreambuf_iterator<char>()};
  return read_marks(text, file.string());
}

}  // namespace thumblight::marks
