#pragma once

#include <cstddef>
#include <string>
#include <vector>

/// Texts of a chart whose words may come from anywhere: a device's name, a folder.
namespace thumblight::report::chart {

/// As one line of valid UTF-8 that XML allows: what is no UTF-8 becomes U+FFFD, control characters
/// and breaks become spaces, runs of spaces one; marks that turn the direction of what follows are
/// left out, as are more than two combining marks on one letter.
std::string clean(const std::string& text);

/// The same, kept apart from the text around it: a name that is written from right to left leaves
/// the order of the sentence alone (Unicode, UAX 9: FSI and PDI).
std::string isolated(const std::string& name);

/// How wide a cleaned text is, in pixels: estimated, on the wide side for most fonts.
double text_width(const std::string& text, double font_size, bool bold = false);

/// The text itself where it fits, else its beginning and its end about an ellipsis.
std::string shortened(const std::string& text, double width, double font_size, bool bold = false);

/// Broken at spaces into at most `most` lines of about equal width that fit; the last is shortened
/// where they do not.
std::vector<std::string> broken(const std::string& text, double width, double font_size,
                                std::size_t most, bool bold = false);

}  // namespace thumblight::report::chart
