#pragma once

#include <string>

#include "analysis/report/plan.hpp"

namespace thumblight::report {

inline constexpr char kPlanFormat[] = "thumblight-plan";
inline constexpr int kPlanVersion = 1;

/// The plan as JSON: milliseconds and seconds; what is not asked for or out of reach is `null`.
std::string encode_plan_json(const Plan& plan);

}  // namespace thumblight::report
