#pragma once

#include <optional>
#include <string>
#include <vector>

#include "analysis/report/result.hpp"
#include "harness/session/records.hpp"

/// Whether two sessions share the screen portion, so that the difference of their remainders is the
/// difference of their deliveries.
namespace thumblight::report {

/// Why it cannot be supposed that the screen portion is the same in both, each reason in words;
/// empty where host, display, patch, pacing, the labels of device, display and program, and the
/// criterion for light agree. `header_a` and `header_b` are empty for a session without a log,
/// which is a reason.
std::vector<std::string> screen_differences(const std::optional<session::Header>& header_a,
                                            const Result& a,
                                            const std::optional<session::Header>& header_b,
                                            const Result& b);

}  // namespace thumblight::report
