#include "analysis/report/comparison_json.hpp"

#include "analysis/report/json_values.hpp"

namespace thumblight::report {
namespace {

using statistics::VerdictReason;
using timing::Portion;

const char* word(VerdictReason reason) {
  switch (reason) {
    case VerdictReason::kResolved:
      return "resolved";
    case VerdictReason::kTooFewPresses:
      return "too-few-presses";
    case VerdictReason::kBelowResolution:
      return "below-resolution";
    case VerdictReason::kWithinUncertainty:
      return "within-uncertainty";
    case VerdictReason::kOneOfMany:
      break;
  }
  return "one-of-many";
}

Json encode(const std::optional<statistics::MeanDifference>& means) {
  if (!means) {
    return nullptr;
  }
  return {{"standard_error_ms", milliseconds(means->standard_error)},
          {"t", or_null(means->t)},
          {"dof", or_null(means->dof)},
          {"p", or_null(means->p)},
          {"ci95", range(means->interval)}};
}

Json encode(const std::optional<statistics::Shift>& shift) {
  if (!shift) {
    return nullptr;
  }
  const std::optional<statistics::ShiftInterval> best = shift->best();
  return {{"ms", milliseconds(shift->shift)},
          {"ci95", best ? range(best->interval) : Json(nullptr)},
          {"exact", shift->exact.has_value()}};
}

Json encode(const std::optional<statistics::RankSumTest>& ranks) {
  if (!ranks) {
    return nullptr;
  }
  return {{"u_a", ranks->u_a},
          {"u_b", ranks->u_b},
          {"p_exact", or_null(ranks->p_exact)},
          {"p_continuity", or_null(ranks->p_continuity)}};
}

Json encode(const std::optional<statistics::FasterProbability>& faster) {
  if (!faster) {
    return nullptr;
  }
  return {{"estimate", faster->estimate}, {"ci95", {faster->interval.low, faster->interval.high}}};
}

Json encode(const std::optional<statistics::SpreadTest>& spread) {
  return spread ? Json{{"w", spread->w}, {"p", spread->p}} : Json(nullptr);
}

Json encode(const std::vector<SharedPart>& parts) {
  Json list = Json::array();
  for (const SharedPart& part : parts) {
    list.push_back({{"source", part.source},
                    {"u_a_ms", milliseconds(part.u_a_ms)},
                    {"u_b_ms", milliseconds(part.u_b_ms)},
                    {"cancels", part.cancels},
                    {"u_ms", milliseconds(part.u_ms)}});
  }
  return list;
}

Json encode(const std::optional<statistics::Verdict>& verdict) {
  if (!verdict) {
    return nullptr;
  }
  return {{"resolved", verdict->resolved()},
          {"reason", word(verdict->reason)},
          {"frames_of_60_hz", or_null(verdict->difference_frames)},
          {"uncertainty_ms", milliseconds(verdict->uncertainty_ms)},
          {"resolution_ms", milliseconds(verdict->resolution_ms)},
          {"level", verdict->level}};
}

Json encode(const PortionDifference& difference) {
  return {{"n", {difference.n_a, difference.n_b}},
          {"difference_ms", milliseconds(difference.difference_ms)},
          {"interval_ms", range(difference.interval())},
          {"verdict", encode(difference.verdict)},
          {"welch", encode(difference.samples.means)},
          {"p_adjusted", or_null(difference.adjusted_p)},
          {"shift", encode(difference.samples.shift)},
          {"rank_sum", encode(difference.samples.ranks)},
          {"a_faster", encode(difference.samples.a_faster)},
          {"sd_ms", {milliseconds(difference.sd_a_ms), milliseconds(difference.sd_b_ms)}},
          {"brown_forsythe", encode(difference.samples.spread)},
          {"shared", encode(difference.shared)},
          {"unseen_u_ms", milliseconds(difference.unseen_u_ms)},
          {"instants_stated", difference.instants_stated}};
}

Json encode(const PairComparison& pair, Portion portion) {
  if (pair.differences[portion]) {
    return encode(*pair.differences[portion]);
  }
  if (const std::optional<timing::Bounds>& bounds = pair.bounds_ms[portion]) {
    return {{"bounds", range(bounds->low_ms, bounds->high_ms)}};
  }
  return nullptr;
}

/// The difference of the deliveries by way of the remainders.
Json encode_delivery(const PairComparison& pair) {
  const PortionDifference* difference = pair.delivery_by_remainder();
  Json object = {{"holds", difference != nullptr},
                 {"supposing", "the screen portion is the same in both"},
                 {"screen_differences", pair.screen_differences},
                 {"difference_ms", nullptr},
                 {"interval_ms", nullptr},
                 {"verdict", nullptr}};
  if (difference != nullptr) {
    object["difference_ms"] = milliseconds(difference->difference_ms);
    object["interval_ms"] = range(difference->interval());
    object["verdict"] = encode(difference->verdict);
  }
  return object;
}

Json encode(const PairComparison& pair) {
  Json object = {
      {"a", letter(pair.a)}, {"b", letter(pair.b)}, {"same_criterion", pair.same_criterion}};
  for (const Portion portion : timing::kPortions) {
    object[std::string(name(portion)) + "_ms"] = encode(pair, portion);
  }
  object["delivery_by_remainder"] = encode_delivery(pair);
  return object;
}

Json letters(const std::vector<std::size_t>& places) {
  Json list = Json::array();
  for (const std::size_t place : places) {
    list.push_back(letter(place));
  }
  return list;
}

/// What sessions with the same screen lend each other.
Json encode(const ScreenGroup& group) {
  Json object = {{"sessions", letters(group.sessions)},
                 {"supposing", "the screen portion is the same in all of them"},
                 {"screen_mean_ms", nullptr},
                 {"low_from", nullptr},
                 {"high_from", nullptr},
                 {"contradict", nullptr},
                 {"carried", Json::array()}};
  if (group.screen) {
    object["screen_mean_ms"] = range(group.screen->mean_ms);
    object["low_from"] = letter(group.screen->low_from);
    object["high_from"] = letter(group.screen->high_from);
  }
  if (group.contradiction) {
    object["contradict"] = letters({group.contradiction->first, group.contradiction->second});
  }
  for (const CarriedPortions& carried : group.carried) {
    object["carried"].push_back({{"session", letter(carried.session)},
                                 {"delivery_ms", {{"bounds", range(carried.delivery_ms)}}},
                                 {"screen_ms", {{"bounds", range(carried.screen_ms)}}},
                                 {"display_ms", {{"bounds", range(carried.display_ms)}}}});
  }
  return object;
}

Json encode(const ComparedSession& session, std::size_t place) {
  return {{"letter", letter(place)},
          {"name", session.name},
          {"path", session.path},
          {"labels", session.result.labels},
          {"clock_link", timing::name(session.result.split.clock_link.kind)}};
}

}  // namespace

std::string encode_comparison_json(const ComparisonResult& comparison) {
  Json sessions = Json::array();
  for (std::size_t k = 0; k < comparison.sessions.size(); ++k) {
    sessions.push_back(encode(comparison.sessions[k], k));
  }
  Json pairs = Json::array();
  for (const PairComparison& pair : comparison.pairs) {
    pairs.push_back(encode(pair));
  }
  Json screens = Json::array();
  for (const ScreenGroup& group : comparison.screens) {
    screens.push_back(encode(group));
  }
  const Json document = {{"format", kComparisonFormat},
                         {"version", kComparisonVersion},
                         {"level", comparison.level},
                         {"sessions", sessions},
                         {"pairs", pairs},
                         {"same_screen", screens}};
  return document.dump(1, ' ', false, Json::error_handler_t::replace) + '\n';
}

}  // namespace thumblight::report
