#include "analysis/report/campaign_json.hpp"

#include "analysis/report/json_values.hpp"

namespace thumblight::report {
namespace {

using timing::Portion;

Json encode(const PortionMean& mean) {
  if (mean.mean_ms) {
    return {{"n", mean.n},
            {"mean", milliseconds(mean.mean_ms)},
            {"sd", milliseconds(mean.sd_ms)},
            {"ci95", range(mean.interval)}};
  }
  if (mean.bounds_ms) {
    return {
        {"bounds", {milliseconds(mean.bounds_ms->low_ms), milliseconds(mean.bounds_ms->high_ms)}},
        {"carried", mean.carried}};
  }
  return nullptr;
}

Json encode(const SetUp& set_up) {
  Json object = {
      {"session", set_up.path},
      {"name", set_up.name},
      {"labels", set_up.labels},
      {"clock_link", name(set_up.clock_link)},
      {"rank", set_up.rank ? Json{set_up.rank->best, set_up.rank->worst} : Json(nullptr)}};
  for (const Portion portion : timing::kPortions) {
    object[std::string(name(portion)) + "_ms"] = encode(set_up.portions[portion]);
  }
  object["warnings"] = set_up.warnings;
  return object;
}

Json encode(const statistics::MeanEffect& effect) {
  return {{"factor", effect.factor},
          {"level", effect.level},
          {"against", effect.reference_level},
          {"sessions", effect.n},
          {"ms", milliseconds(effect.estimate)},
          {"ci95", range(effect.interval)}};
}

Json encode(const statistics::VarianceTerm& interaction) {
  return {{"between", interaction.name},
          {"dof", interaction.dof},
          {"f", or_null(interaction.f)},
          {"p", or_null(interaction.p)}};
}

Json encode(const Attribution& attribution);

template <typename Value>
Json list(const std::vector<Value>& values) {
  Json array = Json::array();
  for (const Value& value : values) {
    array.push_back(encode(value));
  }
  return array;
}

Json encode(const Attribution& attribution) {
  const statistics::MeansModel& model = attribution.model;
  return {{"portion", name(attribution.portion)},
          {"sessions", model.n},
          {"effects", list(model.effects)},
          {"residual_dof", model.residual_dof},
          {"between_sd_ms", milliseconds(model.between_sd)},
          {"interactions", list(model.interactions)},
          {"interaction_residual_dof", model.interaction_residual_dof},
          {"says", sentences(attribution)}};
}

std::string dump(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace

std::string encode_campaign_json(const Campaign& campaign) {
  std::string text = dump({{"format", kCampaignFormat},
                           {"version", kCampaignVersion},
                           {"level", campaign.level},
                           {"ranked_by", name(campaign.ranked)}});
  text.pop_back();
  text += ",\n \"set_ups\":[";
  for (std::size_t k = 0; k < campaign.set_ups.size(); ++k) {
    text += (k == 0 ? "\n  " : ",\n  ") + dump(encode(campaign.set_ups[k]));
  }
  return text + "],\n \"attribution\":" + dump(list(campaign.attributions)) + "}\n";
}

}  // namespace thumblight::report
