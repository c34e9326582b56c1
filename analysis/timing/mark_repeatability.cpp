#include "analysis/timing/mark_repeatability.hpp"

#include <cmath>

namespace thumblight::timing {
namespace {

using Member = std::optional<onset::Instant> onset::PressTiming::*;

/// Mean variance of one kind of instant over the presses of a portion.
struct Share {
  double variance_s2 = 0;
  double dof = 0;
  bool is_marked = false;
};

Share share_of(const std::vector<PressSplit>& presses, const std::vector<PressRow>& rows,
               Portion portion, Member member, const std::optional<onset::Repeatability>& repeats) {
  Share share;
  if (!repeats) {
    return share;
  }
  share.dof = repeats->dof;
  double n = 0;
  for (std::size_t k = 0; k < presses.size(); ++k) {
    if (!presses[k].portions_ms[portion] || presses[k].left_out || rows[k].recorded == nullptr) {
      continue;
    }
    const std::optional<onset::Instant>& instant = rows[k].recorded->*member;
    const bool is_marked = instant && instant->passes;
    const double variance_s2 = is_marked ? repeats->sd_s * repeats->sd_s / *instant->passes : 0;
    n += 1;
    share.variance_s2 += (variance_s2 - share.variance_s2) / n;
    share.is_marked = share.is_marked || is_marked;
  }
  return share;
}

/// Both shares together, with the degrees of freedom of their sum; where nothing differs between
/// the passes, those of both.
std::optional<MarkRepeatability> together(const Share& press, const Share& light) {
  if (!press.is_marked && !light.is_marked) {
    return std::nullopt;
  }
  const double variance_s2 = press.variance_s2 + light.variance_s2;
  double inverse = 0;
  double all = 0;
  for (const Share& share : {press, light}) {
    if (share.is_marked) {
      const double part = variance_s2 > 0 ? share.variance_s2 / variance_s2 : 0;
      inverse += part * part / share.dof;
      all += share.dof;
    }
  }
  return MarkRepeatability{1e3 * std::sqrt(variance_s2), inverse > 0 ? 1 / inverse : all};
}

}  // namespace

PerPortion<std::optional<MarkRepeatability>> mark_repeatability(
    const std::vector<PressSplit>& presses, const std::vector<PressRow>& rows,
    const onset::HandMarks& by_hand) {
  PerPortion<std::optional<MarkRepeatability>> found;
  for (const Portion portion : kPortions) {
    Share press;
    Share light;
    const bool is_of_both = portion == Portion::kTotal || portion == Portion::kRemainder;
    if (is_of_both || portion == Portion::kDelivery) {
      press = share_of(presses, rows, portion, &onset::PressTiming::press, by_hand.press);
    }
    if (is_of_both || portion == Portion::kScreen || portion == Portion::kDisplay) {
      light = share_of(presses, rows, portion, &onset::PressTiming::light, by_hand.light);
    }
    found[portion] = together(press, light);
  }
  return found;
}

}  // namespace thumblight::timing
