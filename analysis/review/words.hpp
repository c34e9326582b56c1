#pragma once

#include <string>

#include "analysis/review/review.hpp"

/// What the window says of itself, in words.
namespace thumblight::review {

/// Upper left: which press of how many, and of which session; a blind look names none.
std::string title_words(const Review& review);
/// Upper right: which frame, and when; a blind look says neither, only where it is against the
/// press' marks of this look.
std::string place_words(const Review& review);
/// "34.2 ms", or a dash where it is not known or not to be known.
std::string total_words(const Review& review, const PressView& view);
/// The bottom line: what was done last, or what may be done.
std::string hint_words(const Review& review);
/// A number of milliseconds with one digit behind the point; independent of the locale.
std::string ms_words(double seconds, int digits = 1);
/// The name of the window.
std::string window_name(const Review& review);

}  // namespace thumblight::review
