#include "analysis/report/attribution.hpp"

#include <algorithm>
#include <map>
#include <optional>
#include <set>

#include "analysis/report/numbers.hpp"

namespace thumblight::report {
namespace {

using statistics::Factor;
using timing::Portion;

constexpr char kUnlabelled[] = "(none)";

std::string level_of(const ComparedSession& session, const char* key) {
  const auto found = session.result.labels.find(key);
  return found == session.result.labels.end() || found->second.empty() ? kUnlabelled
                                                                       : printable(found->second);
}

/// The level of each session by number, in the order of their appearance: equal for factors that
/// always change together.
std::vector<std::size_t> partition(const Factor& factor) {
  std::map<std::string, std::size_t> numbers;
  std::vector<std::size_t> places;
  for (const std::string& level : factor.level_of) {
    places.push_back(numbers.emplace(level, numbers.size()).first->second);
  }
  return places;
}

bool varies(const Factor& factor) {
  return std::any_of(factor.level_of.begin(), factor.level_of.end(),
                     [&](const std::string& level) { return level != factor.level_of.front(); });
}

struct Design {
  std::vector<Factor> factors;
  std::vector<std::vector<std::string>> together;
};

void join(Factor& factor, const Factor& other) {
  factor.name += " and " + other.name;
  for (std::size_t k = 0; k < factor.level_of.size(); ++k) {
    factor.level_of[k] += " and " + other.level_of[k];
  }
}

/// The factors that vary, those that always change together as one.
Design design_of(const std::vector<const ComparedSession*>& sessions) {
  Design design;
  std::map<std::vector<std::size_t>, std::size_t> found;
  std::vector<std::vector<std::string>> names;
  for (const char* key : kSetUpFactors) {
    Factor factor{key, {}};
    for (const ComparedSession* session : sessions) {
      factor.level_of.push_back(level_of(*session, key));
    }
    if (!varies(factor)) {
      continue;
    }
    const auto [place, is_new] = found.emplace(partition(factor), design.factors.size());
    if (is_new) {
      design.factors.push_back(std::move(factor));
      names.push_back({key});
    } else {
      join(design.factors[place->second], factor);
      names[place->second].emplace_back(key);
    }
  }
  std::copy_if(names.begin(), names.end(), std::back_inserter(design.together),
               [](const std::vector<std::string>& joined) { return joined.size() > 1; });
  return design;
}

std::size_t levels(const Design& design) {
  std::size_t count = 0;
  for (const Factor& factor : design.factors) {
    count += std::set<std::string>(factor.level_of.begin(), factor.level_of.end()).size();
  }
  return count;
}

std::optional<Attribution> attribute_portion(const std::vector<ComparedSession>& sessions,
                                             Portion portion) {
  std::vector<const ComparedSession*> taken;
  std::vector<statistics::UncertainMean> means;
  for (const ComparedSession& session : sessions) {
    const PortionResult& found = session.result.portions[portion];
    if (found.summary && found.budget && found.budget->combined > 0) {
      taken.push_back(&session);
      means.push_back({found.summary->mean, found.budget->combined,
                       std::max(1.0, found.budget->effective_dof)});
    }
  }
  const Design design = design_of(taken);
  if (taken.size() < 2 || levels(design) > kMostLevels) {
    return std::nullopt;
  }
  std::optional<statistics::MeansModel> model = statistics::fit_means(means, design.factors);
  if (!model) {
    return std::nullopt;
  }
  return Attribution{portion, std::move(*model), design.together, sessions.size() - taken.size()};
}

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (std::size_t k = 0; k < words.size(); ++k) {
    text += (k == 0 ? "" : k + 1 == words.size() ? " and " : ", ") + words[k];
  }
  return text;
}

std::string sentence(const statistics::VarianceTerm& interaction, std::size_t residual_dof) {
  const bool shown = *interaction.p <= 0.05;
  const std::string p = *interaction.p < 0.001 ? "below 0.001" : fixed(*interaction.p, 3);
  return interaction.name + ": " +
         (shown ? "their effects do not simply add up" : "no sign that they do not add up") +
         " (F " + shortest(std::stod(fixed(*interaction.f, 2))) + " with " +
         std::to_string(interaction.dof) + " and " + std::to_string(residual_dof) +
         " degrees of freedom, p " + p + ").";
}

std::size_t factors_of(const statistics::MeansModel& model) {
  std::set<std::string> names;
  for (const statistics::MeanEffect& effect : model.effects) {
    names.insert(effect.factor);
  }
  return names.size();
}

std::string between(const statistics::MeansModel& model) {
  if (model.residual_dof == 0) {
    return "There are as many effects as sessions, so nothing shows how well they add up, nor how "
           "far sessions of one set-up lie apart.";
  }
  if (model.between_sd > 0) {
    return "Beyond these effects and their own uncertainty, sessions differ by a standard "
           "deviation of " +
           fixed(model.between_sd, decimals_for(model.between_sd)) +
           " ms, which is in the intervals.";
  }
  return "What these effects leave over is no more than the sessions' own uncertainty.";
}

}  // namespace

std::vector<Attribution> attribute(const std::vector<ComparedSession>& sessions) {
  std::vector<Attribution> attributions;
  for (const Portion portion : {Portion::kTotal, Portion::kDelivery, Portion::kRemainder}) {
    if (std::optional<Attribution> found = attribute_portion(sessions, portion)) {
      attributions.push_back(std::move(*found));
    }
  }
  return attributions;
}

std::vector<std::string> sentences(const Attribution& attribution) {
  const statistics::MeansModel& model = attribution.model;
  std::vector<std::string> list;
  for (const std::vector<std::string>& names : attribution.together) {
    list.push_back("The design cannot tell " + joined(names) +
                   " apart: they always changed together, so the effect is that of all of them.");
  }
  for (const statistics::Confounding& confounding : model.confounded) {
    list.push_back(statistics::sentence(confounding));
  }
  list.push_back(between(model));
  for (const statistics::VarianceTerm& interaction : model.interactions) {
    list.push_back(sentence(interaction, model.interaction_residual_dof));
  }
  if (model.repeated == 0 && factors_of(model) > 1) {
    list.push_back(
        "No set-up was measured twice, so it is not tested whether effects depend on each other.");
  }
  if (attribution.left_out > 0) {
    list.push_back(std::to_string(attribution.left_out) +
                   " of the sessions have no mean with an uncertainty and are left out.");
  }
  return list;
}

}  // namespace thumblight::report
