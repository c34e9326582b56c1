#pragma once

#include <cstdint>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace thumblight::onset {

/// A value of a JSON file with the path that leads to it, which is where a fault is said to be:
/// every reading function throws `Error` with file, key and what was wanted. It refers to the
/// document, which must outlive it.
class JsonNode {
 public:
  JsonNode(const nlohmann::json& value, std::string file, std::string path)
      : value_(&value), file_(std::move(file)), path_(std::move(path)) {}

  [[noreturn]] void fail(const std::string& what) const;

  /// The value at `key`; empty where it is absent or `null`.
  std::optional<JsonNode> find(const char* key) const;
  /// The value at `key`, which must be there.
  JsonNode need(const char* key) const;

  /// This very value, which must be an object.
  JsonNode object() const;
  std::vector<JsonNode> items() const;
  std::string text() const;
  std::int64_t whole() const;
  int count() const;  ///< from 0 to two thousand million
  bool truth() const;
  double number() const;
  double number_within(double least, double most) const;
  double time_s() const;  ///< within 9e9 seconds of 0
  double not_negative() const;
  double positive() const;

  /// What `read` gives of the value at `key`; empty where that is absent or `null`.
  template <typename Value>
  std::optional<Value> maybe(const char* key, Value (JsonNode::*read)() const) const {
    const std::optional<JsonNode> found = find(key);
    return found ? std::optional<Value>(((*found).*read)()) : std::nullopt;
  }
  std::string text_or_empty(const char* key) const;

 private:
  void require(bool holds, const std::string& what) const;

  const nlohmann::json* value_;
  std::string file_;
  std::string path_;
};

/// The document in `text`; throws `Error` with the line of the fault. `name` is the file's.
nlohmann::json parse_json(std::string_view text, const std::string& name);

}  // namespace thumblight::onset
