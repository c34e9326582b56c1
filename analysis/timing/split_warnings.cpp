#include "analysis/timing/split_warnings.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/onset/warnings.hpp"
#include "analysis/timing/split.hpp"

namespace thumblight::timing {
namespace {

using onset::make_warning;
using onset::WarningCode;
using Warnings = std::vector<onset::Warning>;

constexpr std::size_t kMostNamed = 8;

/// "presses 3, 5 and 9", "press 3", or the first few "and 12 more".
std::string name_presses(const std::vector<std::int64_t>& indices) {
  std::string text = indices.size() == 1 ? "press " : "presses ";
  const std::size_t named = std::min(indices.size(), kMostNamed);
  for (std::size_t k = 0; k < named; ++k) {
    const bool is_last = k + 1 == indices.size();
    text += (k == 0 ? "" : is_last ? " and " : ", ") + std::to_string(indices[k]);
  }
  if (named < indices.size()) {
    text += " and " + std::to_string(indices.size() - named) + " more";
  }
  return text;
}

template <typename Condition>
std::vector<std::int64_t> indices_where(const std::vector<PressRow>& rows, Condition condition) {
  std::vector<std::int64_t> indices;
  for (const PressRow& row : rows) {
    if (condition(row)) {
      indices.push_back(row.index);
    }
  }
  return indices;
}

void warn_if_any(WarningCode code, const std::vector<std::int64_t>& indices, Warnings& warnings) {
  if (!indices.empty()) {
    warnings.push_back(make_warning(code, name_presses(indices)));
  }
}

void warn_of_unpaired(const std::vector<PressRow>& rows, Warnings& warnings) {
  const auto recorded = indices_where(
      rows, [](const auto& row) { return row.logged == nullptr && !row.recorded->left_out; });
  const auto logged = indices_where(rows, [](const auto& row) { return row.recorded == nullptr; });
  std::string detail;
  if (!recorded.empty()) {
    detail = name_presses(recorded) + " of the recording";
  }
  if (!logged.empty()) {
    detail += (detail.empty() ? "" : "; ") + name_presses(logged) + " of the log";
  }
  if (!detail.empty()) {
    warnings.push_back(make_warning(WarningCode::kUnpairedPresses, detail));
  }
}

std::string milliseconds(double time_s) {
  const auto tenths = std::llround(time_s * 1e4);
  return std::to_string(tenths / 10) + "." + std::to_string(tenths % 10) + " ms";
}

std::string describe(const std::vector<PressRow>& rows, const Contradiction& contradiction) {
  return "the light of press " + std::to_string(rows[contradiction.press_by_light].index) +
         " and the arrival of press " + std::to_string(rows[contradiction.press_by_arrival].index) +
         " disagree by " + milliseconds(contradiction.by_s);
}

bool is_without_uncertainty(const PressRow& row) {
  return row.is_paired() &&
         ((row.press_s && !row.recorded->press->u_s) || (row.light_s && !row.recorded->light->u_s));
}

}  // namespace

void warn_of_log(const session::Log& log, const Pairing& pairing, const std::vector<PressRow>& rows,
                 Warnings& warnings) {
  if (log.cut || !log.end) {
    warnings.push_back(make_warning(WarningCode::kLogUnfinished, ""));
  }
  if (pairing.certainty == Certainty::kFailed) {
    warnings.push_back(make_warning(WarningCode::kPairingFailed, ""));
    return;
  }
  if (pairing.certainty == Certainty::kAmbiguous) {
    warnings.push_back(make_warning(WarningCode::kPairingAmbiguous, ""));
    return;
  }
  if (pairing.certainty == Certainty::kUnchecked) {
    warnings.push_back(make_warning(WarningCode::kPairingUnchecked, ""));
  }
  warn_of_unpaired(rows, warnings);
}

void warn_of_rows(const std::vector<PressRow>& rows, Warnings& warnings) {
  warn_if_any(WarningCode::kLightWithoutFlash,
              indices_where(rows,
                            [](const PressRow& row) {
                              return row.is_paired() && !row.logged->flashed && row.recorded->light;
                            }),
              warnings);
  const auto reversed = [](const PressRow& row) {
    return has_flag(row, flag::kLightBeforePress) || has_flag(row, flag::kTotalBelowRender) ||
           has_flag(row, flag::kPressAfterArrival) || has_flag(row, flag::kLightBeforeSubmit);
  };
  warn_if_any(WarningCode::kEffectBeforeCause, indices_where(rows, reversed), warnings);
  const auto has_total = [](const PressRow& row) { return row.press_s && row.light_s; };
  if (std::none_of(rows.begin(), rows.end(), has_total)) {
    warnings.push_back(make_warning(WarningCode::kNoTotal, ""));
  }
}

void warn_of_step(const Variation& variation, const std::optional<FramePhase>& frame_phase,
                  Warnings& warnings) {
  if (variation.press_phase && variation.press_phase->is_in_step()) {
    warnings.push_back(make_warning(WarningCode::kPressesInStep, ""));
  }
  if (frame_phase && frame_phase->is_in_step) {
    warnings.push_back(make_warning(WarningCode::kCameraInStep, ""));
  }
}

void warn_of_causality(const std::vector<PressRow>& rows, const FeasibleClocks& feasible,
                       Warnings& warnings) {
  if (!feasible.bounded) {
    warnings.push_back(make_warning(WarningCode::kNoBounds, ""));
  }
  if (feasible.contradiction) {
    warnings.push_back(
        make_warning(WarningCode::kClocksContradict, describe(rows, *feasible.contradiction)));
  }
  warn_if_any(WarningCode::kUncertaintyUnknown, indices_where(rows, is_without_uncertainty),
              warnings);
}

}  // namespace thumblight::timing
