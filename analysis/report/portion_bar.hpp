#pragma once

#include <cstddef>
#include <string>

#include "analysis/report/campaign.hpp"

/// A set-up's mean total as a bar of a terminal, split into its portions.
namespace thumblight::report {

/// How a terminal is written to.
struct TerminalStyle {
  bool colour = false;
  bool ascii = false;  ///< no character beyond ASCII
};

/// Delivery, what is delivery or screen (between the bounds of delivery), render, screen, each with
/// a character of its own, so that no colour is needed; what is not known as one piece. `full_ms`
/// is as long as `width` characters. Empty without a total.
std::string portion_bar(const SetUp& set_up, double full_ms, std::size_t width,
                        const TerminalStyle& style);

/// What the characters stand for, in one line.
std::string bar_legend(const TerminalStyle& style);

}  // namespace thumblight::report
