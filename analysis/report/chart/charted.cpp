#include "analysis/report/chart/charted.hpp"

#include <algorithm>

#include "analysis/report/chart/chart_text.hpp"
#include "analysis/report/numbers.hpp"

namespace thumblight::report::chart {
namespace {

using timing::Portion;

ChartedMean mean_of(const PortionResult& portion) {
  const statistics::Summary& summary = *portion.summary;
  return {summary.mean, summary.median,        summary.p05, summary.p95,
          summary.sd,   portion.mean_interval, summary.n};
}

ChartedPortion portion_of(const Result& result, Portion portion) {
  const PortionResult& from = result.portions[portion];
  ChartedPortion charted;
  if (from.summary) {
    charted.mean = mean_of(from);
  } else {
    charted.bounds_ms = from.mean_bounds;
  }
  for (const std::size_t press : from.presses) {
    charted.values_ms.push_back(*result.split.presses[press].portions_ms[portion]);
  }
  charted.outlying.resize(charted.values_ms.size());
  if (from.outliers) {
    for (const statistics::Outlier& outlier : from.outliers->outliers) {
      charted.outlying[outlier.index] = true;
    }
  }
  return charted;
}

void carry_over(const CarriedPortions& carried, ChartedSetUp& set_up) {
  const auto tighten = [&set_up](Portion portion, const timing::Bounds& bounds) {
    if (!set_up.portions[portion].mean) {
      set_up.portions[portion].bounds_ms = bounds;
    }
  };
  tighten(Portion::kDelivery, carried.delivery_ms);
  tighten(Portion::kScreen, carried.screen_ms);
  tighten(Portion::kDisplay, carried.display_ms);
}

}  // namespace

ChartedSetUp charted(const Result& result, const std::string& name) {
  ChartedSetUp set_up;
  set_up.name = clean(name);
  if (set_up.name.empty()) {
    set_up.name = "(no name)";
  }
  for (const Portion portion : timing::kPortions) {
    set_up.portions[portion] = portion_of(result, portion);
  }
  if (result.recording.kind == "video" && result.recording.clock.rate_hz) {
    set_up.frame_ms = 1e3 / *result.recording.clock.rate_hz;
  }
  if (result.split.refresh) {
    set_up.refresh_ms = result.split.refresh->grid.period_s * 1e3;
  }
  return set_up;
}

std::vector<ChartedSetUp> charted(const ComparisonResult& comparison) {
  std::vector<ChartedSetUp> set_ups;
  for (const ComparedSession& session : comparison.sessions) {
    set_ups.push_back(charted(session.result, session.name));
  }
  for (const ScreenGroup& group : comparison.screens) {
    for (const CarriedPortions& carried : group.carried) {
      carry_over(carried, set_ups[carried.session]);
    }
  }
  return set_ups;
}

std::string value_text(const ChartedMean& mean) {
  if (!mean.interval) {
    return fixed(mean.mean_ms, 1);
  }
  const double half_ms = mean.interval->half_width();
  // Whole milliseconds at least: a bar beside its number shows where it ends.
  const int decimals = half_ms > 0 ? std::max(0, decimals_for(half_ms)) : 1;
  return fixed(mean.mean_ms, decimals) + " \u00B1 " + fixed(half_ms, decimals);
}

std::string value_text(const timing::Bounds& bounds) {
  return outward(bounds.low_ms, bounds.high_ms);
}

}  // namespace thumblight::report::chart
