#include "analysis/report/result_json.hpp"

#include <cmath>
#include <nlohmann/json.hpp>

namespace thumblight::report {
namespace {

using Json = nlohmann::ordered_json;
using timing::Portion;

/// Milliseconds to the nanosecond: digits beyond it are those of binary arithmetic.
Json milliseconds(double value_ms) {
  return std::round(value_ms * 1e6) / 1e6;
}

Json milliseconds(const std::optional<double>& value_ms) {
  return value_ms ? milliseconds(*value_ms) : Json(nullptr);
}

template <typename Value>
Json or_null(const std::optional<Value>& value) {
  return value ? Json(*value) : Json(nullptr);
}

Json or_null(const std::string& text) {
  return text.empty() ? Json(nullptr) : Json(text);
}

std::string key_of(Portion portion) {
  return std::string(name(portion)) + "_ms";
}

Json encode(const timing::PressSplit& press, std::size_t index) {
  Json object = {{"index", index},
                 {"recorded", or_null(press.recorded_index)},
                 {"logged", or_null(press.logged_index)}};
  for (const Portion portion : timing::kPortions) {
    object[key_of(portion)] = milliseconds(press.portions_ms[portion]);
  }
  object["total_u_ms"] = milliseconds(press.total_u_ms);
  object["flags"] = press.flags;
  return object;
}

Json encode(const statistics::Summary& summary) {
  Json interval = nullptr;
  if (summary.ci95) {
    interval = {milliseconds(summary.ci95->low), milliseconds(summary.ci95->high)};
  }
  return {{"n", summary.n},
          {"mean", milliseconds(summary.mean)},
          {"median", milliseconds(summary.median)},
          {"sd", milliseconds(summary.sd)},
          {"min", milliseconds(summary.min)},
          {"max", milliseconds(summary.max)},
          {"p05", milliseconds(summary.p05)},
          {"p95", milliseconds(summary.p95)},
          {"ci95", interval}};
}

Json encode(const PortionResult& portion) {
  if (portion.summary) {
    return encode(*portion.summary);
  }
  if (portion.mean_bounds) {
    return {
        {"bounds",
         {milliseconds(portion.mean_bounds->low_ms), milliseconds(portion.mean_bounds->high_ms)}}};
  }
  return nullptr;
}

Json encode(const timing::ClockLink& link) {
  Json object = {
      {"kind", name(link.kind)}, {"feasible", or_null(link.feasible)}, {"drift", nullptr}};
  if (link.drift) {
    object["drift"] = {
        {"ppm", link.drift->rate_ppm}, {"u_ppm", link.drift->u_ppm}, {"n", link.drift->n}};
  }
  return object;
}

Json encode(const onset::RecordingInfo& recording) {
  return {{"file", or_null(recording.file)},
          {"kind", or_null(recording.kind)},
          {"clock",
           {{"source", or_null(recording.clock.source)},
            {"rate_hz", or_null(recording.clock.rate_hz)},
            {"nominal_hz", or_null(recording.clock.nominal_hz)}}}};
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
  text += member("clock_link", dump(encode(result.split.clock_link)));
  text += member("flip", dump({{"how", or_null(result.split.flip_how)}}));
  text += member(
      "pairing",
      dump({{"recorded", counts.recorded}, {"logged", counts.logged}, {"paired", counts.paired}}));
  text += member("recording", dump(encode(result.recording)));
  text += member("labels", dump(Json(result.labels)));
  text += member("pacing", dump(or_null(result.pacing)));
  text += member("warnings", dump(encode_warnings(result.split.warnings)));
  return text + "}\n";
}

}  // namespace thumblight::report
