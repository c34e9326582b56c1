#include "analysis/rehearsal/program.hpp"

#include <cmath>

namespace thumblight::rehearsal {

Program::Program(const HostSettings& settings, Refresh refresh, std::uint64_t seed)
    : settings_(settings), refresh_(refresh), random_(seed, Stream::kHost) {}

double Program::refresh_from_s(double t_s) const {
  const double n = std::ceil((t_s - refresh_.phase_s) / refresh_.interval_s);
  return refresh_.phase_s + n * refresh_.interval_s;
}

double Program::submit_s(double wanted_s) {
  const double work_s = random_.uniform(settings_.work_min_s, settings_.work_max_s);
  if (settings_.vsync && settings_.pacing == Pacing::kEveryFrame) {
    return refresh_from_s(wanted_s + settings_.guard_s) - settings_.guard_s;
  }
  if (settings_.vsync && settings_.pacing == Pacing::kFrameStart) {
    const double lag_s = return_s();
    return refresh_from_s(wanted_s - lag_s) + lag_s + work_s;
  }
  return wanted_s + work_s;
}

Drawn Program::draw(double wanted_s) {
  Drawn drawn;
  drawn.submit_s = submit_s(wanted_s);
  drawn.flip_s = settings_.vsync ? refresh_from_s(drawn.submit_s) : drawn.submit_s;
  drawn.present_s = drawn.flip_s + return_s();
  drawn.frame = std::llround(drawn.flip_s / refresh_.interval_s);
  return drawn;
}

}  // namespace thumblight::rehearsal
