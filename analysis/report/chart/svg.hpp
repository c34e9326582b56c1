#pragma once

#include <initializer_list>
#include <string>
#include <vector>

namespace thumblight::report::chart {

/// One attribute of an element. A number is written with two decimals, a hundredth of a pixel.
struct Attribute {
  Attribute(const char* attribute, std::string text) : key(attribute), value(std::move(text)) {}
  Attribute(const char* attribute, const char* text) : key(attribute), value(text) {}
  Attribute(const char* attribute, double number);

  const char* key;
  std::string value;
};

using Attributes = std::vector<Attribute>;

/// Text of an SVG 1.1 file, element by element. Every text and every value of an attribute is
/// escaped here, so that no name can end its element; it must be valid UTF-8 without control
/// characters, see `clean`.
class Svg {
 public:
  Svg(double width, double height, const std::string& title, const std::string& description);

  void add(const char* element, const Attributes& attributes);
  void text(const std::string& content, const Attributes& attributes);
  /// An element that others are within, until `end` of the same name.
  void begin(const char* element, const Attributes& attributes);
  void end(const char* element);

  /// The whole file.
  std::string finish() const;

 private:
  std::string body_;
};

}  // namespace thumblight::report::chart
