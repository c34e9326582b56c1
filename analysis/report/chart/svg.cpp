#include "analysis/report/chart/svg.hpp"

#include "analysis/report/numbers.hpp"

namespace thumblight::report::chart {
namespace {

std::string escaped(const std::string& text) {
  std::string safe;
  for (const char c : text) {
    switch (c) {
      case '&':
        safe += "&amp;";
        break;
      case '<':
        safe += "&lt;";
        break;
      case '>':
        safe += "&gt;";
        break;
      case '"':
        safe += "&quot;";
        break;
      case '\'':
        safe += "&#39;";
        break;
      default:
        safe += c;
    }
  }
  return safe;
}

std::string opened(const char* element, const Attributes& attributes) {
  std::string tag = std::string("<") + element;
  for (const Attribute& attribute : attributes) {
    tag += std::string(" ") + attribute.key + "=\"" + escaped(attribute.value) + '"';
  }
  return tag;
}

std::string with_text(const char* element, const Attributes& attributes, const std::string& text) {
  return opened(element, attributes) + '>' + escaped(text) + "</" + element + ">\n";
}

}  // namespace

Attribute::Attribute(const char* attribute, double number)
    : key(attribute), value(fixed(number, 2)) {}

Svg::Svg(double width, double height, const std::string& title, const std::string& description) {
  const std::string w = fixed(width, 0);
  const std::string h = fixed(height, 0);
  body_ = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" +
          opened("svg", {{"xmlns", "http://www.w3.org/2000/svg"},
                         {"width", w},
                         {"height", h},
                         {"viewBox", "0 0 " + w + " " + h},
                         {"role", "img"},
                         {"aria-labelledby", "chart-title chart-description"},
                         // The first is the widest of these, by which lines are broken.
                         {"font-family", "'DejaVu Sans', Verdana, sans-serif"}}) +
          ">\n" + with_text("title", {{"id", "chart-title"}}, title) +
          with_text("desc", {{"id", "chart-description"}}, description);
}

void Svg::add(const char* element, const Attributes& attributes) {
  body_ += opened(element, attributes) + "/>\n";
}

void Svg::text(const std::string& content, const Attributes& attributes) {
  body_ += with_text("text", attributes, content);
}

void Svg::begin(const char* element, const Attributes& attributes) {
  body_ += opened(element, attributes) + ">\n";
}

void Svg::end(const char* element) {
  body_ += std::string("</") + element + ">\n";
}

std::string Svg::finish() const {
  return body_ + "</svg>\n";
}

}  // namespace thumblight::report::chart
