#pragma once

#include <string>
#include <utility>
#include <vector>

#include "analysis/report/compared_session.hpp"

/// How a session was measured, in words.
namespace thumblight::report {

/// What was used and how: a heading and its text each. What is not known is said to be unknown.
std::vector<std::pair<std::string, std::string>> method_words(const ComparedSession& session);

/// What the numbers suppose and nothing in the recording shows.
std::vector<std::string> assumptions(const ComparedSession& session);

/// How the clocks of recording and host are tied, in words.
std::string clock_link_words(const timing::ClockLink& link);

}  // namespace thumblight::report
