#include "analysis/report/plan_json.hpp"

#include "analysis/report/json_values.hpp"

namespace thumblight::report {
namespace {

Json wanted(const PlanRequest& request, PlanQuestion question) {
  return request.question == question ? Json(request.wanted_ms) : Json(nullptr);
}

Json encode(const std::optional<Pilot>& pilot) {
  if (!pilot) {
    return nullptr;
  }
  return {{"file", pilot->name},
          {"portion", pilot->portion},
          {"n", pilot->n},
          {"sd_ms", pilot->sd_ms},
          {"lasting_u_ms", pilot->lasting_u_ms}};
}

Json encode(const std::vector<SpreadSource>& sources) {
  Json list = Json::array();
  for (const SpreadSource& source : sources) {
    list.push_back({{"source", source.what}, {"sd_ms", source.sd_ms}});
  }
  return list;
}

Json encode(const std::vector<Remedy>& remedies) {
  Json list = Json::array();
  for (const Remedy& remedy : remedies) {
    list.push_back({{"with", remedy.what}, {"presses", remedy.presses}});
  }
  return list;
}

Json session_length(const Plan& plan) {
  if (!plan.presses) {
    return nullptr;
  }
  return {{"least", plan.least_session_s}, {"unhurried", plan.unhurried_session_s}};
}

}  // namespace

std::string encode_plan_json(const Plan& plan) {
  const PlanRequest& request = plan.request;
  const Json document = {{"format", kPlanFormat},
                         {"version", kPlanVersion},
                         {"wanted",
                          {{"half_width_ms", wanted(request, PlanQuestion::kHalfWidth)},
                           {"difference_ms", wanted(request, PlanQuestion::kDifference)},
                           {"power", request.power},
                           {"level", plan.level}}},
                         {"pilot", encode(request.pilot)},
                         {"spread", encode(plan.sources)},
                         {"sd_ms", plan.sd_ms},
                         {"lasting_u_ms", plan.lasting_u_ms},
                         {"presses", or_null(plan.presses)},
                         {"half_width_ms", or_null(plan.half_width_ms)},
                         {"difference_ms", or_null(plan.difference_ms)},
                         {"least_half_width_ms", plan.least_half_width_ms},
                         {"least_difference_ms", plan.least_difference_ms},
                         {"bearable_sd_ms", or_null(plan.bearable_sd_ms)},
                         {"session_s", session_length(plan)},
                         {"within_reach_with", encode(plan.remedies)}};
  return document.dump(1, ' ', false, Json::error_handler_t::replace) + '\n';
}

}  // namespace thumblight::report
