#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>

/// Values as every document states them: what is unknown is null.
namespace thumblight {

using OrderedJson = nlohmann::ordered_json;

template <typename Value>
OrderedJson or_null(const std::optional<Value>& value) {
  return value ? OrderedJson(*value) : OrderedJson(nullptr);
}

inline OrderedJson or_null(const std::string& text) {
  return text.empty() ? OrderedJson(nullptr) : OrderedJson(text);
}

}  // namespace thumblight
