#include "analysis/report/terminal_carry_over.hpp"

#include "analysis/report/numbers.hpp"
#include "analysis/report/text_columns.hpp"
#include "analysis/report/wrap.hpp"

namespace thumblight::report {
namespace {

using timing::Bounds;
using timing::Portion;

constexpr std::size_t kCarriedWidth = 15;
constexpr std::size_t kRangeWidth = 21;

/// "A and B", "A, B and C".
std::string letters(const std::vector<std::size_t>& places) {
  std::string text;
  for (std::size_t k = 0; k < places.size(); ++k) {
    text += (k == 0 ? "" : k + 1 == places.size() ? " and " : ", ") + letter(places[k]);
  }
  return text;
}

std::string shared_mean(const timing::SharedScreen& screen) {
  const std::string by =
      screen.low_from == screen.high_from
          ? letter(screen.high_from)
          : letter(screen.low_from) + " from below and " + letter(screen.high_from) + " from above";
  return "its mean lies within " + outward(screen.mean_ms.low_ms, screen.mean_ms.high_ms) +
         " ms, by " + by + ".";
}

std::string row(const ComparisonResult& comparison, const CarriedPortions& carried) {
  const PortionResult& alone =
      comparison.sessions[carried.session].result.portions[Portion::kDelivery];
  return ranged_left("  " + letter(carried.session), kCarriedWidth) +
         ranged_right(alone.mean_bounds
                          ? outward(alone.mean_bounds->low_ms, alone.mean_bounds->high_ms)
                          : "-",
                      kRangeWidth) +
         ranged_right(outward(carried.delivery_ms.low_ms, carried.delivery_ms.high_ms),
                      kRangeWidth) +
         '\n';
}

std::string table(const ComparisonResult& comparison, const ScreenGroup& group) {
  std::string text = ranged_left("delivery, ms", kCarriedWidth) +
                     ranged_right("by itself", kRangeWidth) +
                     ranged_right("carried over", kRangeWidth) + '\n';
  for (const CarriedPortions& carried : group.carried) {
    text += row(comparison, carried);
  }
  return text;
}

std::string tell(const ComparisonResult& comparison, const ScreenGroup& group,
                 std::size_t columns) {
  if (group.contradiction) {
    return '\n' + wrap("Nothing is carried over among " + letters(group.sessions) +
                           ": their logs agree on host, display, mode, patch and pacing, but the "
                           "screen portions of " +
                           letter(group.contradiction->first) + " and " +
                           letter(group.contradiction->second) +
                           " cannot have the same mean. Something else differs between them.",
                       columns);
  }
  if (!group.screen || group.carried.empty()) {
    return "";
  }
  return '\n' +
         wrap("Carried over, supposing that the screen portion is the same in " +
                  letters(group.sessions) + ": " + shared_mean(*group.screen),
              columns) +
         table(comparison, group);
}

}  // namespace

std::string terminal_carry_over(const ComparisonResult& comparison, std::size_t columns) {
  std::string text;
  for (const ScreenGroup& group : comparison.screens) {
    text += tell(comparison, group, columns);
  }
  return text;
}

}  // namespace thumblight::report
