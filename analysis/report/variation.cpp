#include "analysis/report/variation.hpp"

namespace thumblight::report {
namespace {

using timing::Portion;

std::optional<double> instrument_u_ms(const timing::Variation& variation, Portion portion) {
  if (portion == Portion::kRender) {
    return 0;  // the host's stamps alone
  }
  return portion == Portion::kDelivery ? variation.press_u_ms : variation.light_u_ms;
}

}  // namespace

std::vector<double> varying_ms(const timing::Split& split, Portion portion) {
  std::vector<double> values;
  const auto put = [&](const std::optional<double>& value_ms) {
    if (value_ms) {
      values.push_back(*value_ms);
    }
  };
  if (portion == Portion::kRender) {
    for (const timing::PressSplit& press : split.presses) {
      if (!press.left_out) {
        put(press.portions_ms[portion]);
      }
    }
    return values;
  }
  for (const timing::OffsetFree& press : split.variation->presses) {
    put(portion == Portion::kDelivery ? press.delivery_ms : press.screen_ms);
  }
  return values;
}

std::optional<Variation> find_variation(const timing::Split& split) {
  if (!split.variation) {
    return std::nullopt;
  }
  Variation variation;
  for (const Portion portion : kVaryingPortions) {
    const std::size_t fitted = portion == Portion::kRender ? 1 : split.variation->fitted;
    variation.spread[portion] = statistics::spread_interval(
        varying_ms(split, portion), fitted, instrument_u_ms(*split.variation, portion));
  }
  variation.structure = find_structure(split, variation.spread);
  return variation;
}

}  // namespace thumblight::report
