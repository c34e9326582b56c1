#include "analysis/report/result_json.hpp"

#include <cmath>

#include "analysis/report/json_values.hpp"

namespace thumblight::report {
namespace {

using timing::Portion;

/// Infinite degrees of freedom have no number in JSON.
Json finite_or_null(double value) {
  return std::isfinite(value) ? Json(value) : Json(nullptr);
}

std::string key_of(Portion portion) {
  return std::string(name(portion)) + "_ms";
}

/// Who placed an instant; null where there is none.
Json placed_by(const std::string& how) {
  return how.empty() ? Json(nullptr) : Json(how == "mark" ? "hand" : "tool");
}

Json encode(const timing::PressSplit& press, std::size_t index) {
  Json object = {{"index", index},
                 {"recorded", or_null(press.recorded_index)},
                 {"logged", or_null(press.logged_index)}};
  for (const Portion portion : timing::kPortions) {
    object[key_of(portion)] = milliseconds(press.portions_ms[portion]);
  }
  object["total_u_ms"] = milliseconds(press.u_ms[Portion::kTotal]);
  object["press_by"] = placed_by(press.press_how);
  object["light_by"] = placed_by(press.light_how);
  object["left_out"] = or_null(press.left_out);
  object["flags"] = press.flags;
  return object;
}

Json encode(const statistics::Budget& budget) {
  Json rows = Json::array();
  for (const statistics::BudgetRow& row : budget.rows) {
    rows.push_back({{"source", row.line.source},
                    {"type", row.line.evaluation == statistics::Evaluation::kTypeA ? "A" : "B"},
                    {"distribution", name(row.line.distribution)},
                    {"u_ms", milliseconds(row.line.standard_uncertainty)},
                    {"half_width_ms", milliseconds(row.line.half_width)},
                    {"dof", finite_or_null(row.line.dof)},
                    {"shrinks_with_n", row.line.shrinks_with_n},
                    {"contribution_ms", milliseconds(row.contribution)}});
  }
  return {{"rows", rows},
          {"type_a_ms", milliseconds(budget.type_a)},
          {"type_b_ms", milliseconds(budget.type_b)},
          {"lasting_ms", milliseconds(budget.lasting)},
          {"combined_ms", milliseconds(budget.combined)},
          {"effective_dof", finite_or_null(budget.effective_dof)},
          {"coverage_factor", budget.coverage_factor},
          {"expanded_ms", milliseconds(budget.expanded)},
          {"level", budget.level}};
}

Json encode(const statistics::Interval& interval) {
  return {milliseconds(interval.low), milliseconds(interval.high)};
}

Json encode(const std::optional<statistics::OrderInterval>& median) {
  if (!median) {
    return nullptr;
  }
  return {{"interval_ms", encode(median->interval)}, {"achieved_level", median->achieved_level}};
}

Json encode(const std::optional<statistics::Trend>& course) {
  if (!course) {
    return nullptr;
  }
  return {{"ms_a_press", milliseconds(course->slope)},
          {"interval", course->slope_interval ? encode(*course->slope_interval) : Json(nullptr)},
          {"resolved", course->resolved()}};
}

/// The presses outside the fences, by their index among the result's presses.
Json encode_outliers(const PortionResult& portion) {
  Json list = Json::array();
  if (portion.outliers) {
    for (const statistics::Outlier& outlier : portion.outliers->outliers) {
      const bool extreme = outlier.kind == statistics::OutlierKind::kExtreme;
      list.push_back({{"press", portion.presses[outlier.index]},
                      {"ms", milliseconds(outlier.value)},
                      {"kind", extreme ? "extreme" : "mild"}});
    }
  }
  return list;
}

Json encode_summary_of(const PortionResult& portion) {
  const statistics::Summary& summary = *portion.summary;
  const std::optional<statistics::Budget>& budget = portion.budget;
  return {{"n", summary.n},
          {"mean", milliseconds(summary.mean)},
          {"median", milliseconds(summary.median)},
          {"sd", milliseconds(summary.sd)},
          {"min", milliseconds(summary.min)},
          {"max", milliseconds(summary.max)},
          {"p05", milliseconds(summary.p05)},
          {"p95", milliseconds(summary.p95)},
          {"ci95", portion.mean_interval ? encode(*portion.mean_interval) : Json(nullptr)},
          {"median95", encode(portion.median_interval)},
          {"course", encode(portion.course)},
          {"outliers", encode_outliers(portion)},
          {"value_u_ms", milliseconds(portion.value_u_ms)},
          {"budget", budget ? encode(*budget) : Json(nullptr)}};
}

Json encode(const PortionResult& portion) {
  if (portion.summary) {
    return encode_summary_of(portion);
  }
  if (portion.mean_bounds) {
    return {
        {"bounds",
         {milliseconds(portion.mean_bounds->low_ms), milliseconds(portion.mean_bounds->high_ms)}}};
  }
  return nullptr;
}

Json encode(const std::optional<statistics::SpreadInterval>& spread) {
  if (!spread) {
    return nullptr;
  }
  return {{"n", spread->n},
          {"sd_ms", milliseconds(spread->sd)},
          {"low_ms", milliseconds(spread->low)},
          {"high_ms", milliseconds(spread->high)},
          {"level", spread->level},
          {"resolved", spread->is_resolved()},
          {"observed_sd_ms", milliseconds(spread->observed_sd)},
          {"camera_u_ms", milliseconds(spread->instrument_u)}};
}

Json encode(const Structure& structure) {
  return {{"kind", name(structure.kind)},
          {"portion", name(structure.portion)},
          {"size_ms", milliseconds(structure.size_ms)},
          {"u_ms", milliseconds(structure.u_ms)},
          {"share", or_null(structure.share)},
          {"chance", or_null(structure.chance)},
          {"says", sentence(structure)}};
}

Json encode(const Variation& variation) {
  Json portions = Json::object();
  for (const Portion portion : kVaryingPortions) {
    portions[name(portion)] = encode(variation.spread[portion]);
  }
  Json structure = Json::array();
  for (const Structure& found : variation.structure) {
    structure.push_back(encode(found));
  }
  return {{"portions", portions}, {"says", sentences(variation)}, {"structure", structure}};
}

Json encode(const timing::ClockLink& link) {
  Json object = {
      {"kind", name(link.kind)}, {"feasible", or_null(link.feasible)}, {"drift", nullptr}};
  if (link.clock) {
    object["offset_u_ms"] = milliseconds(link.clock->u_offset_s * 1e3);
    object["half_width_ms"] = milliseconds(link.clock->half_width_s * 1e3);
    object["readings"] = link.clock->n;
  }
  if (link.exchange) {
    object["exchanges"] = link.exchange->exchanges;
    object["least_delay_ms"] = milliseconds(link.exchange->least_delay_s * 1e3);
  }
  if (link.kind == timing::ClockLinkKind::kLamp && link.lamp_lag) {
    object["lamp_lag_ms"] = {milliseconds(link.lamp_lag->min_s * 1e3),
                             milliseconds(link.lamp_lag->max_s * 1e3)};
  }
  if (link.kind == timing::ClockLinkKind::kCausality) {
    object["scan_out_prior"] = link.scan_out_prior;
    object["scan_out_share"] = or_null(link.scan_out_share);
  }
  if (!link.scan_out.basis.empty()) {
    object["scan_out"] = {
        {"to_patch_ms",
         link.scan_out.to_patch_s ? milliseconds(*link.scan_out.to_patch_s * 1e3) : Json(nullptr)},
        {"basis", link.scan_out.basis}};
  }
  if (link.drift) {
    object["drift"] = {
        {"ppm", link.drift->rate_ppm}, {"u_ppm", link.drift->u_ppm}, {"n", link.drift->n}};
  }
  return object;
}

Json encode_flip(const timing::Split& split) {
  Json object = {{"how", or_null(split.flip_how)}, {"refresh", nullptr}};
  if (split.refresh) {
    const timing::RefreshGrid& refresh = *split.refresh;
    object["refresh"] = {
        {"hz", 1 / refresh.grid.period_s},
        {"u_hz", refresh.grid.u_period_s / refresh.grid.period_s / refresh.grid.period_s},
        {"closeness", refresh.grid.closeness},
        {"spread_ms", milliseconds(refresh.spread_s * 1e3)}};
  }
  return object;
}

Json encode(const std::optional<onset::Region>& region) {
  return region ? Json{{"x", region->x}, {"y", region->y}, {"w", region->w}, {"h", region->h}}
                : Json(nullptr);
}

/// What tells whether two films share the camera's readout.
Json encode(const std::optional<onset::CameraInfo>& camera) {
  if (!camera) {
    return nullptr;
  }
  return {{"width", camera->width},
          {"height", camera->height},
          {"rotation_deg", camera->rotation_deg},
          {"readout_s", or_null(camera->readout_s)},
          {"readout_source", or_null(camera->readout_source)},
          {"patch", encode(camera->patch)},
          {"press", encode(camera->press)}};
}

Json encode(const onset::RecordingInfo& recording) {
  return {{"file", or_null(recording.file)},
          {"kind", or_null(recording.kind)},
          {"clock",
           {{"source", or_null(recording.clock.source)},
            {"rate_hz", or_null(recording.clock.rate_hz)},
            {"nominal_hz", or_null(recording.clock.nominal_hz)}}},
          {"camera", encode(recording.camera)},
          {"threshold", recording.light ? Json(recording.light->threshold) : Json(nullptr)}};
}

Json encode(const std::optional<onset::Repeatability>& repeats) {
  if (!repeats) {
    return nullptr;
  }
  return {{"sd_ms", milliseconds(repeats->sd_s * 1e3)},
          {"dof", repeats->dof},
          {"instants", repeats->instants}};
}

Json encode(const std::optional<onset::HandMarks>& by_hand) {
  if (!by_hand) {
    return nullptr;
  }
  return {
      {"presses", by_hand->presses},
      {"lights", by_hand->lights},
      {"added", by_hand->added},
      {"left_out", by_hand->left_out},
      {"passes", by_hand->passes},
      {"repeatability", {{"press", encode(by_hand->press)}, {"light", encode(by_hand->light)}}}};
}

Json encode(const std::optional<Provenance>& made_from) {
  if (!made_from) {
    return nullptr;
  }
  Json inputs = Json::array();
  for (const InputFile& input : made_from->inputs) {
    inputs.push_back({{"file", input.name},
                      {"bytes", input.bytes},
                      {"modified_ns", input.modified_ns},
                      {"digest", input.digest}});
  }
  return {{"program", made_from->program}, {"options", made_from->options}, {"inputs", inputs}};
}

Json encode_warnings(const std::vector<onset::Warning>& warnings) {
  Json list = Json::array();
  for (const onset::Warning& warning : warnings) {
    list.push_back(
        {{"code", warning.code}, {"text", warning.text}, {"remedy", or_null(warning.remedy)}});
  }
  return list;
}

std::string dump(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

std::string encode_presses(const std::vector<timing::PressSplit>& presses) {
  std::string text = "[";
  for (std::size_t k = 0; k < presses.size(); ++k) {
    text += (k == 0 ? "\n  " : ",\n  ") + dump(encode(presses[k], k));
  }
  return text + "]";
}

std::string encode_summary(const timing::PerPortion<PortionResult>& portions) {
  std::string text = "{";
  for (const Portion portion : timing::kPortions) {
    text += text.size() == 1 ? "\n  " : ",\n  ";
    text += "\"" + key_of(portion) + "\":" + dump(encode(portions[portion]));
  }
  return text + "}";
}

std::string member(const char* key, const std::string& value) {
  return std::string(",\n \"") + key + "\":" + value;
}

}  // namespace

std::string encode_result_json(const Result& result) {
  const timing::PairingCounts& counts = result.split.counts;
  std::string text = dump({{"format", kResultFormat}, {"version", kResultVersion}});
  text.pop_back();
  text += member("presses", encode_presses(result.split.presses));
  text += member("summary", encode_summary(result.portions));
  text += member("variation", dump(result.variation ? encode(*result.variation) : Json(nullptr)));
  text += member("clock_link", dump(encode(result.split.clock_link)));
  text += member("flip", dump(encode_flip(result.split)));
  text += member(
      "pairing",
      dump({{"recorded", counts.recorded}, {"logged", counts.logged}, {"paired", counts.paired}}));
  text += member("recording", dump(encode(result.recording)));
  text += member("by_hand", dump(encode(result.by_hand)));
  text += member("labels", dump(Json(result.labels)));
  text += member("pacing", dump(or_null(result.pacing)));
  text += member("made_from", dump(encode(result.made_from)));
  text += member("warnings", dump(encode_warnings(result.split.warnings)));
  return text + "}\n";
}

}  // namespace thumblight::report
