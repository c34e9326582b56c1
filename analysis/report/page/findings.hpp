#pragma once

#include <optional>
#include <string>
#include <vector>

#include "analysis/report/comparison.hpp"

/// What each picture of the page shows, as a sentence: no claim that the numbers do not carry.
namespace thumblight::report {

/// "24.3 ms (95 % interval 23.1 to 25.5 ms)", "within 3.1 to 9.6 ms (bounds)" or "not known".
std::string portion_words(const PortionResult& portion);

/// One session, or several that have been compared.
std::string answer(const std::vector<ComparedSession>& sessions,
                   const std::optional<ComparisonResult>& comparison);

/// Of the portions of one session; what is not known, and why.
std::string portions_finding(const Result& result);
/// The same over all sessions.
std::string portions_finding(const std::vector<ComparedSession>& sessions);
std::string largest_finding(const Result& result);
std::string why_not_split(const Result& result);

std::string presses_finding(const std::vector<ComparedSession>& sessions);
std::string distribution_finding(const std::vector<ComparedSession>& sessions,
                                 const std::optional<ComparisonResult>& comparison);
std::string course_finding(const Result& result);
std::string phase_finding(const Result& result);

/// Milliseconds between two refreshes, as the present returns gave it, else as the system states
/// it.
std::optional<double> refresh_ms(const ComparedSession& session);
/// Milliseconds between two images of the camera; empty for a trace or a table.
std::optional<double> frame_ms(const Result& result);

}  // namespace thumblight::report
