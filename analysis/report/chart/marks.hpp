#pragma once

#include <string>

#include "analysis/report/chart/svg.hpp"
#include "analysis/timing/portions.hpp"

/// The marks that charts are made of, and their colours: told apart by people who confuse red and
/// green, and in grey (CIE lightness of some 33, 87 and 63 for delivery, render and screen).
namespace thumblight::report::chart {

/// Colour of a portion; the total's is that of a time of which no parts are known.
std::string fill_of(timing::Portion portion);

/// The same for dots, which a pale colour would hide.
std::string dot_fill_of(timing::Portion portion);

/// Hatching in the portion's colour: its mean lies somewhere within.
std::string bounds_fill_of(timing::Portion portion);

/// Hatching in two colours: delivery or screen, not told apart.
std::string either_fill();

/// The hatchings, to be written before they are used.
void define_hatchings(Svg& svg);

/// A horizontal line with caps; an end that is cut off has an arrow head instead.
struct Whisker {
  double from_x = 0;
  double to_x = 0;
  double y = 0;
  double cap = 10;  ///< half the height of the caps
  double width = 4;
  bool is_cut_left = false;
  bool is_cut_right = false;
};

void draw_whisker(Svg& svg, const Whisker& whisker, const Attributes& attributes);

/// A round mark on a whisker: mean or median.
void draw_centre(Svg& svg, double x, double y, const Attributes& attributes);

/// Milliseconds as an attribute, to the microsecond.
Attribute ms_attribute(const char* key, double ms);

}  // namespace thumblight::report::chart
