#include "analysis/report/chart/marks.hpp"

#include "analysis/report/chart/row_page.hpp"
#include "analysis/report/numbers.hpp"

namespace thumblight::report::chart {
namespace {

using timing::Portion;

constexpr char kDeliveryFill[] = "#1f4e8c";
constexpr char kRenderFill[] = "#f4d676";
constexpr char kScreenFill[] = "#e0803c";
constexpr char kOtherFill[] = "#aab1b9";

/// Slanted stripes, the second of another colour or the paper's.
void define_hatching(Svg& svg, const std::string& id, const std::string& first,
                     const std::string& second) {
  svg.begin("pattern", {{"id", id},
                        {"patternUnits", "userSpaceOnUse"},
                        {"width", "20"},
                        {"height", "20"},
                        {"patternTransform", "rotate(45)"}});
  svg.add("rect", {{"width", "20"}, {"height", "20"}, {"fill", kPaper}});
  svg.add("rect", {{"width", "7"}, {"height", "20"}, {"fill", first}});
  if (!second.empty()) {
    svg.add("rect", {{"x", "10"}, {"width", "7"}, {"height", "20"}, {"fill", second}});
  }
  svg.end("pattern");
}

std::string hatching_id(Portion portion) {
  return std::string("within-") + timing::name(portion);
}

std::string point(double x, double y) {
  return fixed(x, 2) + ' ' + fixed(y, 2);
}

/// A cap, or an arrow head that points outward (1: to the right, -1: to the left).
std::string end_path(double x, const Whisker& whisker, bool is_cut, double outward) {
  const double back = is_cut ? x - outward * whisker.cap : x;
  const std::string tip = is_cut ? 'L' + point(x, whisker.y) : "";
  return 'M' + point(back, whisker.y - whisker.cap) + tip + 'L' +
         point(back, whisker.y + whisker.cap);
}

}  // namespace

std::string fill_of(Portion portion) {
  switch (portion) {
    case Portion::kDelivery:
      return kDeliveryFill;
    case Portion::kRender:
      return kRenderFill;
    case Portion::kScreen:
      return kScreenFill;
    default:
      return kOtherFill;
  }
}

std::string dot_fill_of(Portion portion) {
  return portion == Portion::kTotal ? "#5f7389" : fill_of(portion);
}

std::string bounds_fill_of(Portion portion) {
  return "url(#" + hatching_id(portion) + ")";
}

std::string either_fill() {
  return "url(#either)";
}

void define_hatchings(Svg& svg) {
  svg.begin("defs", {});
  for (const Portion portion : timing::kPortions) {
    define_hatching(svg, hatching_id(portion), fill_of(portion), "");
  }
  define_hatching(svg, "either", kDeliveryFill, kScreenFill);
  svg.end("defs");
}

void draw_whisker(Svg& svg, const Whisker& whisker, const Attributes& attributes) {
  const std::string path = 'M' + point(whisker.from_x, whisker.y) + 'L' +
                           point(whisker.to_x, whisker.y) +
                           end_path(whisker.from_x, whisker, whisker.is_cut_left, -1) +
                           end_path(whisker.to_x, whisker, whisker.is_cut_right, 1);
  // A light edge keeps the line apart from whatever it crosses.
  svg.add("path",
          {{"d", path}, {"fill", "none"}, {"stroke", kPaper}, {"stroke-width", whisker.width + 4}});
  Attributes all = {
      {"d", path}, {"fill", "none"}, {"stroke", kInk}, {"stroke-width", whisker.width}};
  all.insert(all.end(), attributes.begin(), attributes.end());
  svg.add("path", all);
}

void draw_centre(Svg& svg, double x, double y, const Attributes& attributes) {
  Attributes all = {{"cx", x},      {"cy", y},          {"r", "9"},
                    {"fill", kInk}, {"stroke", kPaper}, {"stroke-width", "2"}};
  all.insert(all.end(), attributes.begin(), attributes.end());
  svg.add("circle", all);
}

Attribute ms_attribute(const char* key, double ms) {
  return {key, fixed(ms, 3)};
}

}  // namespace thumblight::report::chart
