#pragma once

#include <string>
#include <vector>

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
/// Two words of what is known of a press: what, and what is known.
struct Detail {
  std::string what;
  std::string known;
};
/// Of the press that is looked at: its instants with the half-width of the band that holds them 19
/// times of 20, and its total. None where no press is chosen.
std::vector<Detail> detail_words(const Review& review);
/// Why it is left out or doubtful; empty where neither is.
std::string reason_words(const Review& review);

/// A key and what it does now.
struct Hint {
  std::string key;
  std::string words;
};
/// For the bottom line, where nothing was done last; of a controller where that is in use.
std::vector<Hint> hints_of(Mode mode, bool pad);
/// A number of milliseconds with one digit behind the point; independent of the locale.
std::string ms_words(double seconds, int digits = 1);
/// The name of the window.
std::string window_name(const Review& review);

}  // namespace thumblight::review
