#include "analysis/onset/film_instants.hpp"

#include <algorithm>
#include <cstddef>

namespace thumblight::onset {

std::int64_t frame_at(const Film& film, double shown_s) {
  return std::clamp<std::int64_t>(film.first_from(shown_s + 1e-9) - 1, 0, film.frames() - 1);
}

std::vector<Instant> instants_of(VideoWork& work, const FilmedGroup& group,
                                 const DoubtedModel& model, double share, const char* how,
                                 const char* on) {
  const LocatedSteps located = locate_all(group.steps, model, work.film.clock.interval_s);
  const std::vector<StepInstant>& found = located.instants;
  if (located.shared_u_s > 0) {
    work.shared.push_back({"exposure", on, located.shared_u_s});
  }
  const double row_s = work.readout.delay_s(group.centre_y_px, work.film.info.height);
  const EdgeShape& shape = model.model.shape;
  const bool rises = shape.ramp_s + shape.decay_s > 0;
  std::vector<Instant> instants;
  for (std::size_t i = 0; i < found.size(); ++i) {
    const double shown_s = found[i].begin_s + share_time_s(shape, share);
    Instant instant;
    instant.t_s = shown_s + row_s;
    instant.u_s = found[i].u_s;
    instant.how = how;
    instant.frame = frame_at(work.film, shown_s);
    instant.level = group.heights[i];
    if (rises) {
      instant.t50_s = found[i].begin_s + share_time_s(shape, 0.5) + row_s;
      instant.t90_s = found[i].begin_s + share_time_s(shape, 0.9) + row_s;
    }
    instants.push_back(std::move(instant));
  }
  return instants;
}

void drop_rise_times(std::vector<Instant>& instants) {
  for (Instant& instant : instants) {
    instant.t50_s.reset();
    instant.t90_s.reset();
  }
}

}  // namespace thumblight::onset
