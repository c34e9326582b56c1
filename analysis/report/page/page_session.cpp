#include <filesystem>

#include "analysis/report/mark_words.hpp"
#include "analysis/report/numbers.hpp"
#include "analysis/report/page/base64.hpp"
#include "analysis/report/page/findings.hpp"
#include "analysis/report/page/method_words.hpp"
#include "analysis/report/page/page_data.hpp"
#include "analysis/report/page/plain_name.hpp"
#include "analysis/report/portion_digits.hpp"
#include "analysis/report/result_json.hpp"

namespace thumblight::report {
namespace {

using timing::Bounds;
using timing::Portion;

std::string folder_name(const std::string& path) {
  const std::filesystem::path normal = std::filesystem::path(path).lexically_normal();
  return (normal.has_filename() ? normal.filename() : normal.parent_path().filename()).string();
}

PageJson or_null(const std::optional<double>& value) {
  return value ? PageJson(*value) : PageJson(nullptr);
}

PageJson bounds_document(const Bounds& bounds, bool is_carried) {
  PortionResult outward;
  outward.mean_bounds = bounds;
  const std::string suffix = is_carried ? ", carried over" : "";
  return {{"kind", is_carried ? "carried" : "bounds"},
          {"low", bounds.low_ms},
          {"high", bounds.high_ms},
          {"text", portion_words(outward) + suffix},
          {"interval_text", "mean " + portion_words(outward) + suffix}};
}

PageJson portion_document(const PortionResult& portion) {
  if (!portion.summary) {
    return portion.mean_bounds ? bounds_document(*portion.mean_bounds, false)
                               : PageJson{{"kind", "unknown"}, {"text", "not known"}};
  }
  const statistics::Summary& summary = *portion.summary;
  const int decimals = decimals_of(portion);
  PageJson document = {{"kind", "value"},
                       {"n", summary.n},
                       {"mean", summary.mean},
                       {"low", nullptr},
                       {"high", nullptr},
                       {"text", portion_words(portion)},
                       {"short", fixed(summary.mean, decimals) + " ms"},
                       {"median", fixed(summary.median, decimals)},
                       {"sd", summary.sd ? fixed(*summary.sd, decimals) : "not known"},
                       {"p05", fixed(summary.p05, decimals)},
                       {"p95", fixed(summary.p95, decimals)},
                       {"mean_text", fixed(summary.mean, decimals)},
                       {"interval_text", "not known"}};
  if (portion.mean_interval) {
    const statistics::Interval& interval = *portion.mean_interval;
    document["low"] = interval.low;
    document["high"] = interval.high;
    document["short"] =
        fixed(summary.mean, decimals) + " ± " + fixed(interval.half_width(), decimals) + " ms";
    document["interval_text"] =
        fixed(interval.low, decimals) + " to " + fixed(interval.high, decimals);
  }
  return document;
}

const std::optional<Bounds> carried_bounds(const CarriedPortions* carried, Portion portion) {
  if (carried == nullptr) {
    return std::nullopt;
  }
  switch (portion) {
    case Portion::kDelivery:
      return carried->delivery_ms;
    case Portion::kScreen:
      return carried->screen_ms;
    case Portion::kDisplay:
      return carried->display_ms;
    default:
      return std::nullopt;
  }
}

PageJson portions_document(const Result& result, const CarriedPortions* carried) {
  PageJson document = PageJson::object();
  for (const Portion portion : timing::kPortions) {
    const PortionResult& own = result.portions[portion];
    const std::optional<Bounds> lent = carried_bounds(carried, portion);
    document[name(portion)] =
        !own.summary && lent ? bounds_document(*lent, true) : portion_document(own);
  }
  return document;
}

/// How the presses of a session are written: to the digits that one of them carries.
int press_decimals(const PortionResult& portion) {
  constexpr int kDecimalsUnknown = 2;
  return portion.value_u_ms && *portion.value_u_ms > 0 ? decimals_for(*portion.value_u_ms)
                                                       : kDecimalsUnknown;
}

std::string press_name(const timing::PressSplit& press) {
  if (press.recorded_index) {
    return std::to_string(*press.recorded_index);
  }
  return press.logged_index ? "log " + std::to_string(*press.logged_index) : "";
}

/// The flags, the reason for one left out, and which instants were marked on the frames.
std::vector<std::string> notes_on(const timing::PressSplit& press, bool are_marked) {
  std::vector<std::string> notes;
  for (const std::string& flag : press.flags) {
    notes.push_back(flag == timing::flag::kLeftOut ? left_out_words(press) : flag);
  }
  if (are_marked && press.press_how == "mark") {
    notes.emplace_back("press by hand");
  }
  if (are_marked && press.light_how == "mark") {
    notes.emplace_back("light by hand");
  }
  return notes;
}

PageJson presses_document(const Result& result) {
  PageJson rows = PageJson::array();
  for (const timing::PressSplit& press : result.split.presses) {
    PageJson cells = PageJson::object();
    for (const Portion portion : timing::kPortions) {
      const std::optional<double>& value = press.portions_ms[portion];
      cells[name(portion)] = value
                                 ? PageJson(fixed(*value, press_decimals(result.portions[portion])))
                                 : PageJson(nullptr);
    }
    rows.push_back({{"name", press_name(press)},
                    {"cells", cells},
                    {"flags", notes_on(press, result.by_hand.has_value())}});
  }
  return rows;
}

PageJson outliers_document(const PortionResult& total) {
  PageJson places = PageJson::array();
  if (total.outliers) {
    for (const statistics::Outlier& outlier : total.outliers->outliers) {
      places.push_back(total.presses[outlier.index]);
    }
  }
  return places;
}

/// Delivery against the place of the submit in a refresh; null where either is unknown.
PageJson phase_document(const ComparedSession& session) {
  const Result& result = session.result;
  if (!result.split.variation) {
    return nullptr;
  }
  const bool is_known = result.portions[Portion::kDelivery].summary.has_value();
  const auto& presses = result.split.variation->presses;
  PageJson rows = PageJson::array();
  for (std::size_t k = 0; k < presses.size() && k < result.split.presses.size(); ++k) {
    const std::optional<double>& value_ms =
        is_known ? result.split.presses[k].portions_ms[Portion::kDelivery] : presses[k].delivery_ms;
    if (presses[k].submit_turns && value_ms) {
      rows.push_back(
          {{"press", k},
           {"turns", *presses[k].submit_turns},
           {"ms", *value_ms},
           {"text", fixed(*value_ms, press_decimals(result.portions[Portion::kTotal]))}});
    }
  }
  if (rows.empty()) {
    return nullptr;
  }
  return {{"known", is_known}, {"rows", rows}, {"finding", phase_finding(result)}};
}

PageJson course_document(const Result& result) {
  const PortionResult& total = result.portions[Portion::kTotal];
  PageJson document = {{"finding", course_finding(result)}, {"slope", nullptr}};
  if (total.course) {
    document["slope"] = total.course->slope;
    document["intercept"] = total.course->intercept;
  }
  return document;
}

std::string milliseconds(double value_ms) {
  constexpr int kDecimals = 3;
  return fixed(value_ms, kDecimals);
}

PageJson budget_document(const PortionResult& portion, const char* portion_name) {
  const statistics::Budget& budget = *portion.budget;
  PageJson rows = PageJson::array();
  for (const statistics::BudgetRow& row : budget.rows) {
    rows.push_back({row.line.source + (row.line.shrinks_with_n ? ", falls with their number" : ""),
                    row.line.evaluation == statistics::Evaluation::kTypeA ? "A" : "B",
                    statistics::name(row.line.distribution),
                    milliseconds(row.line.standard_uncertainty), milliseconds(row.contribution),
                    fixed(100 * row.variance_share, 0) + " %"});
  }
  return {{"portion", portion_name},
          {"rows", rows},
          {"combined", milliseconds(budget.combined)},
          {"expanded", milliseconds(portion.mean_interval ? portion.mean_interval->half_width()
                                                          : budget.expanded)}};
}

PageJson budgets_document(const Result& result) {
  PageJson list = PageJson::array();
  for (const Portion portion : timing::kPortions) {
    if (result.portions[portion].budget) {
      list.push_back(budget_document(result.portions[portion], name(portion)));
    }
  }
  return list;
}

PageJson warnings_document(const std::vector<onset::Warning>& warnings) {
  PageJson list = PageJson::array();
  for (const onset::Warning& warning : warnings) {
    list.push_back({{"code", warning.code}, {"text", warning.text}, {"remedy", warning.remedy}});
  }
  return list;
}

PageJson method_document(const ComparedSession& session) {
  PageJson rows = PageJson::array();
  for (const auto& [heading, text] : method_words(session)) {
    rows.push_back({heading, text});
  }
  return rows;
}

/// By the place of the press among the result's.
PageJson strips_document(const Result& result, const Evidence& evidence) {
  PageJson strips = PageJson::object();
  for (std::size_t k = 0; k < result.split.presses.size(); ++k) {
    const auto& index = result.split.presses[k].recorded_index;
    const auto found = index ? evidence.strips.find(*index) : evidence.strips.end();
    if (found != evidence.strips.end()) {
      strips[std::to_string(k)] = "data:image/jpeg;base64," + base64(found->second);
    }
  }
  return strips;
}

PageJson length_document(const std::optional<double>& length_ms) {
  if (!length_ms) {
    return nullptr;
  }
  constexpr int kDecimals = 2;
  return {{"ms", *length_ms}, {"text", fixed(*length_ms, kDecimals) + " ms"}};
}

}  // namespace

std::string name_alone(const ComparedSession& session) {
  std::string text;
  for (const char* key : {"controller", "connection", "device", "display"}) {
    const auto found = session.result.labels.find(key);
    if (found != session.result.labels.end() && !found->second.empty()) {
      text += (text.empty() ? "" : ", ") + found->second;
    }
  }
  return printable(text.empty() ? folder_name(session.path) : text);
}

PageJson page_session(const ComparedSession& session, std::size_t place, const Evidence& evidence,
                      const CarriedPortions* carried) {
  const Result& result = session.result;
  return {{"name", plain_name(session.name)},
          {"letter", letter(place)},
          {"folder", folder_name(session.path)},
          {"labels", result.labels},
          {"started", session.header ? PageJson(session.header->started_utc) : PageJson(nullptr)},
          {"result", PageJson::parse(encode_result_json(result))},
          {"portions", portions_document(result, carried)},
          {"portions_finding", portions_finding(result)},
          {"largest_finding", largest_finding(result)},
          {"why", why_not_split(result)},
          {"presses", presses_document(result)},
          {"outliers", outliers_document(result.portions[Portion::kTotal])},
          {"total_u", or_null(result.portions[Portion::kTotal].value_u_ms)},
          {"frame", length_document(frame_ms(result))},
          {"refresh", length_document(refresh_ms(session))},
          {"phase", phase_document(session)},
          {"course", course_document(result)},
          {"budgets", budgets_document(result)},
          {"method", method_document(session)},
          {"assumptions", assumptions(session)},
          {"says", result.variation ? sentences(*result.variation) : std::vector<std::string>()},
          {"warnings", warnings_document(result.split.warnings)},
          {"strips", strips_document(result, evidence)},
          {"strips_left_out", evidence.left_out},
          {"regions", evidence.regions.empty()
                          ? PageJson(nullptr)
                          : PageJson("data:image/png;base64," + base64(evidence.regions))}};
}

}  // namespace thumblight::report
