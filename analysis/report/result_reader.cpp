#include "analysis/report/result_reader.hpp"

#include <nlohmann/json.hpp>

#include "analysis/onset/json_node.hpp"

namespace thumblight::report {
namespace {

using onset::JsonNode;
using timing::Portion;

/// Milliseconds of nothing measured here come near this; a number beyond it is no result of ours.
constexpr double kMostMs = 1e15;

double ms(const JsonNode& node) {
  return node.number_within(-kMostMs, kMostMs);
}

std::optional<double> ms(const JsonNode& object, const char* key) {
  const std::optional<JsonNode> found = object.find(key);
  return found ? std::optional<double>(ms(*found)) : std::nullopt;
}

/// Two numbers in ascending order.
timing::Bounds range(const JsonNode& node) {
  const std::vector<JsonNode> ends = node.items();
  if (ends.size() != 2 || ms(ends[0]) > ms(ends[1])) {
    node.fail("must be a lower and an upper limit");
  }
  return {ms(ends[0]), ms(ends[1])};
}

double dof(const JsonNode& object, const char* key) {
  return object.maybe(key, &JsonNode::positive).value_or(statistics::kInfiniteDof);
}

statistics::BudgetRow budget_row(const JsonNode& object) {
  statistics::BudgetRow row{};
  row.line.source = object.need("source").text();
  row.line.evaluation = object.text_or_empty("type") == "A" ? statistics::Evaluation::kTypeA
                                                            : statistics::Evaluation::kTypeB;
  row.line.standard_uncertainty = object.need("u_ms").not_negative();
  row.line.half_width = ms(object, "half_width_ms");
  row.line.dof = dof(object, "dof");
  row.line.shrinks_with_n = object.need("shrinks_with_n").truth();
  row.contribution = object.need("contribution_ms").not_negative();
  return row;
}

statistics::Budget budget(const JsonNode& object, std::size_t n) {
  statistics::Budget budget{};
  for (const JsonNode& row : object.need("rows").items()) {
    budget.rows.push_back(budget_row(row.object()));
  }
  budget.n = n;
  budget.type_a = object.need("type_a_ms").not_negative();
  budget.type_b = object.need("type_b_ms").not_negative();
  budget.lasting = object.need("lasting_ms").not_negative();
  budget.combined = object.need("combined_ms").not_negative();
  budget.effective_dof = dof(object, "effective_dof");
  budget.coverage_factor = object.need("coverage_factor").positive();
  budget.expanded = object.need("expanded_ms").not_negative();
  budget.level = object.need("level").number_within(0, 1);
  return budget;
}

statistics::Summary summary(const JsonNode& object) {
  statistics::Summary summary;
  summary.n = static_cast<std::size_t>(object.need("n").count());
  if (summary.n == 0) {
    object.need("n").fail("must be 1 or more");
  }
  summary.mean = ms(object.need("mean"));
  summary.median = ms(object.need("median"));
  summary.sd = object.maybe("sd", &JsonNode::not_negative);
  if (summary.sd.has_value() != (summary.n > 1)) {
    object.fail("must have an sd with two presses or more, and none with one");
  }
  summary.min = ms(object.need("min"));
  summary.max = ms(object.need("max"));
  summary.p05 = ms(object.need("p05"));
  summary.p95 = ms(object.need("p95"));
  return summary;
}

PortionResult portion(const JsonNode& object) {
  PortionResult result;
  if (const std::optional<JsonNode> bounds = object.find("bounds")) {
    result.mean_bounds = range(*bounds);
    return result;
  }
  result.summary = summary(object);
  result.value_u_ms = object.maybe("value_u_ms", &JsonNode::not_negative);
  if (const std::optional<JsonNode> found = object.find("budget")) {
    result.budget = budget(found->object(), result.summary->n);
  }
  if (const std::optional<JsonNode> found = object.find("ci95")) {
    const timing::Bounds limits = range(*found);
    result.mean_interval = statistics::Interval{limits.low_ms, limits.high_ms, 0.95};
  }
  return result;
}

/// What is off at every press alike, as the budget lists it.
std::vector<timing::SharedError> shared_errors(const PortionResult& portion) {
  std::vector<timing::SharedError> errors;
  if (portion.budget) {
    for (const statistics::BudgetRow& row : portion.budget->rows) {
      if (!row.line.shrinks_with_n) {
        errors.push_back({row.line.source, row.contribution, row.line.half_width});
      }
    }
  }
  return errors;
}

statistics::SpreadInterval spread(const JsonNode& object) {
  statistics::SpreadInterval spread;
  spread.n = static_cast<std::size_t>(object.need("n").count());
  spread.observed_sd = object.need("observed_sd_ms").not_negative();
  spread.instrument_u = object.maybe("camera_u_ms", &JsonNode::not_negative);
  spread.sd = object.maybe("sd_ms", &JsonNode::not_negative);
  spread.low = object.need("low_ms").not_negative();
  spread.high = object.need("high_ms").not_negative();
  spread.level = object.need("level").number_within(0, 1);
  return spread;
}

std::optional<Variation> variation(const JsonNode& all) {
  const std::optional<JsonNode> found = all.find("variation");
  if (!found) {
    return std::nullopt;
  }
  Variation variation;
  const JsonNode portions = found->object().need("portions").object();
  for (const Portion portion : kVaryingPortions) {
    if (const std::optional<JsonNode> object = portions.find(name(portion))) {
      variation.spread[portion] = spread(object->object());
    }
  }
  return variation;
}

std::optional<onset::Region> region(const JsonNode& camera, const char* key) {
  const std::optional<JsonNode> found = camera.find(key);
  if (!found) {
    return std::nullopt;
  }
  return onset::Region{found->need("x").number(), found->need("y").number(),
                       found->need("w").number(), found->need("h").number()};
}

onset::CameraInfo camera(const JsonNode& object) {
  onset::CameraInfo camera;
  camera.width = object.need("width").count();
  camera.height = object.need("height").count();
  camera.rotation_deg = static_cast<int>(object.need("rotation_deg").number_within(-360, 360));
  camera.readout_s = object.maybe("readout_s", &JsonNode::not_negative);
  camera.readout_source = object.text_or_empty("readout_source");
  camera.patch = region(object, "patch");
  camera.press = region(object, "press");
  return camera;
}

onset::RecordingInfo recording(const JsonNode& object) {
  onset::RecordingInfo recording;
  recording.file = object.text_or_empty("file");
  recording.kind = object.text_or_empty("kind");
  const JsonNode clock = object.need("clock").object();
  recording.clock.source = clock.text_or_empty("source");
  recording.clock.rate_hz = clock.maybe("rate_hz", &JsonNode::positive);
  recording.clock.nominal_hz = clock.maybe("nominal_hz", &JsonNode::positive);
  if (const std::optional<JsonNode> found = object.find("camera")) {
    recording.camera = camera(found->object());
  }
  if (const auto threshold = object.maybe("threshold", &JsonNode::number)) {
    recording.light = onset::LightInfo{*threshold, {}, {}, {}, {}};
  }
  return recording;
}

timing::ClockLinkKind clock_link(const JsonNode& object) {
  const JsonNode kind = object.need("kind");
  const std::optional<timing::ClockLinkKind> found = timing::clock_link_of(kind.text());
  if (!found) {
    kind.fail("must name a clock link");
  }
  return *found;
}

std::vector<onset::Warning> warnings(const JsonNode& all) {
  std::vector<onset::Warning> list;
  for (const JsonNode& warning : all.need("warnings").items()) {
    list.push_back({warning.need("code").text(), warning.need("text").text(),
                    warning.text_or_empty("remedy")});
  }
  return list;
}

InputFile input(const JsonNode& object) {
  InputFile input;
  input.name = object.need("file").text();
  const std::int64_t bytes = object.need("bytes").whole();
  if (bytes < 0) {
    object.need("bytes").fail("must be 0 or more");
  }
  input.bytes = static_cast<std::uintmax_t>(bytes);
  input.modified_ns = object.need("modified_ns").whole();
  input.digest = object.need("digest").text();
  return input;
}

}  // namespace

std::optional<Provenance> read_provenance(const nlohmann::json& document, const std::string& file) {
  const std::optional<JsonNode> found = JsonNode(document, file, "").find("made_from");
  if (!found) {
    return std::nullopt;
  }
  Provenance made_from;
  made_from.program = found->text_or_empty("program");
  made_from.options = found->text_or_empty("options");
  for (const JsonNode& object : found->need("inputs").items()) {
    made_from.inputs.push_back(input(object.object()));
  }
  return made_from;
}

Result read_result_summary(const nlohmann::json& document, const std::string& file) {
  const JsonNode all = JsonNode(document, file, "").object();
  Result result;
  const JsonNode portions = all.need("summary").object();
  for (const Portion each : timing::kPortions) {
    if (const auto found = portions.find((std::string(name(each)) + "_ms").c_str())) {
      result.portions[each] = portion(found->object());
      result.split.shared[each] = shared_errors(result.portions[each]);
    }
  }
  result.variation = variation(all);
  result.split.clock_link.kind = clock_link(all.need("clock_link").object());
  result.split.warnings = warnings(all);
  result.recording = recording(all.need("recording").object());
  const JsonNode labels = all.need("labels").object();
  for (const auto& [key, value] : document["labels"].items()) {
    result.labels[key] = labels.need(key.c_str()).text();
  }
  result.pacing = all.text_or_empty("pacing");
  result.made_from = read_provenance(document, file);
  return result;
}

}  // namespace thumblight::report
