#include "analysis/timing/host_lamp.hpp"

#include <map>

#include "harness/session/error.hpp"

namespace thumblight::timing {

LinkedClock link_by_lamp(const std::vector<PressRow>& rows, const session::Log& log,
                         const Timebase& base, const LampLag& lag,
                         const std::optional<Drift>& lights) {
  std::map<std::int64_t, std::int64_t> switched_on_ns;
  for (const session::Lamp& lamp : log.lamps) {
    if (lamp.on) {
      switched_on_ns[lamp.index] = lamp.switched_ns;
    }
  }
  std::vector<OffsetReading> readings;
  for (const PressRow& row : rows) {
    if (!row.is_paired() || !row.recorded->lamp) {
      continue;
    }
    const auto on = switched_on_ns.find(row.logged->index);
    if (on != switched_on_ns.end()) {
      const double lit_s = base.recording(row.recorded->lamp->t_s);
      const double switched_s = base.host(on->second) + (lag.min_s + lag.max_s) / 2;
      readings.push_back({lit_s, switched_s - lit_s, row.recorded->lamp->u_s});
    }
  }
  if (readings.empty()) {
    throw Error(
        "the clock link 'lamp' needs a lamp that the harness switched and the recording shows; "
        "name its place (regions.host_lamp in setup.json), or use another link");
  }
  return link_clock(readings, (lag.max_s - lag.min_s) / 2, lights);
}

}  // namespace thumblight::timing
