#pragma once

#include <optional>
#include <vector>

#include "analysis/onset/timings.hpp"

namespace thumblight::marks {

/// The within-person standard deviation from instants placed more than once: each inner list holds
/// the times of one instant, one from each pass. It is pooled over the instants as the
/// repeatability standard deviation of ISO 5725-2:1994, 7.4 (clause number from memory) and JCGM
/// 100:2008, 4.2.4: the root of the sum of squares about each instant's mean over their degrees of
/// freedom. For pairs with differences d that is sqrt(sum d^2 / (2 n)) with n degrees of freedom;
/// what one pass as a whole is off against the other counts too. Lists of one time count nothing;
/// empty without any of two.
std::optional<onset::Repeatability> repeatability_of(
    const std::vector<std::vector<double>>& times_s);

}  // namespace thumblight::marks
