#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <vector>

#include "analysis/report/compared_session.hpp"
#include "analysis/statistics/means_model.hpp"
#include "analysis/timing/portions.hpp"

/// How much each part of a set-up adds to a portion, over the sessions of a campaign.
namespace thumblight::report {

/// The labels that are taken for parts of a set-up.
inline constexpr std::array kSetUpFactors = {"controller", "connection", "device", "display"};

/// More levels than this, all factors together, are not told apart.
inline constexpr std::size_t kMostLevels = 60;

/// The effects on the mean of one portion. Factors whose labels always changed together are one
/// factor, "device and display", with levels such as "tower and tube".
struct Attribution {
  timing::Portion portion = timing::Portion::kTotal;
  statistics::MeansModel model;
  std::vector<std::vector<std::string>> together;  ///< factors that are taken as one
  std::size_t left_out = 0;                        ///< sessions without a mean or its uncertainty
};

/// Of the total, and of delivery and remainder where two sessions or more have a mean of them;
/// nothing of a portion of which the sessions differ in none of the labels, or in too many.
std::vector<Attribution> attribute(const std::vector<ComparedSession>& sessions);

/// Why there may be no attribution, and what the design cannot tell, in sentences.
std::vector<std::string> sentences(const Attribution& attribution);

}  // namespace thumblight::report
