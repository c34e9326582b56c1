#include "analysis/onset/json_node.hpp"

#include <algorithm>
#include <climits>
#include <cmath>
#include <nlohmann/json.hpp>

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

}  // namespace

void JsonNode::fail(const std::string& what) const {
  throw Error(file_ + ": " + (path_.empty() ? "the whole" : "the key '" + path_ + "'") + " " +
              what);
}

void JsonNode::require(bool holds, const std::string& what) const {
  if (!holds) {
    fail("must be " + what + "; found " + describe(*value_));
  }
}

std::optional<JsonNode> JsonNode::find(const char* key) const {
  const auto found = value_->find(key);
  if (found == value_->end() || found->is_null()) {
    return std::nullopt;
  }
  return JsonNode(*found, file_, path_.empty() ? key : path_ + "." + key);
}

JsonNode JsonNode::need(const char* key) const {
  const std::optional<JsonNode> found = find(key);
  if (!found) {
    throw Error(file_ + ": the key '" + (path_.empty() ? "" : path_ + ".") + key + "' is missing");
  }
  return *found;
}

JsonNode JsonNode::object() const {
  require(value_->is_object(), "an object");
  return *this;
}

std::vector<JsonNode> JsonNode::items() const {
  require(value_->is_array(), "a list");
  std::vector<JsonNode> nodes;
  nodes.reserve(value_->size());
  for (std::size_t k = 0; k < value_->size(); ++k) {
    nodes.emplace_back((*value_)[k], file_, path_ + "[" + std::to_string(k) + "]");
  }
  return nodes;
}

std::string JsonNode::text() const {
  require(value_->is_string(), "a text");
  return value_->get<std::string>();
}

std::int64_t JsonNode::whole() const {
  require(value_->is_number_integer() &&
              !(value_->is_number_unsigned() && value_->get<std::uint64_t>() > INT64_MAX),
          "a whole number");
  return value_->get<std::int64_t>();
}

int JsonNode::count() const {
  const std::int64_t value = whole();
  require(value >= 0 && value <= INT_MAX, "a whole number that is not negative");
  return static_cast<int>(value);
}

bool JsonNode::truth() const {
  require(value_->is_boolean(), "true or false");
  return value_->get<bool>();
}

double JsonNode::number() const {
  require(value_->is_number(), "a number");
  return value_->get<double>();
}

double JsonNode::number_within(double least, double most) const {
  require(value_->is_number() && value_->get<double>() >= least && value_->get<double>() <= most,
          "a number from " + Json(least).dump() + " to " + Json(most).dump());
  return value_->get<double>();
}

double JsonNode::time_s() const {
  const double t_s = number();
  require(std::abs(t_s) <= kFarthestTimeSeconds, "a time of at most 9e9 seconds");
  return t_s;
}

double JsonNode::not_negative() const {
  const double value = number();
  require(value >= 0, "a number that is not negative");
  return value;
}

double JsonNode::positive() const {
  const double value = number();
  require(value > 0, "a number above 0");
  return value;
}

std::string JsonNode::text_or_empty(const char* key) const {
  return maybe(key, &JsonNode::text).value_or("");
}

Json parse_json(std::string_view text, const std::string& name) {
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

}  // namespace thumblight::onset
