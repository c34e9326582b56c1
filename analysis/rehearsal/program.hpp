#pragma once

#include <cstdint>

#include "analysis/rehearsal/panel.hpp"
#include "analysis/rehearsal/random.hpp"
#include "analysis/rehearsal/settings.hpp"

namespace thumblight::rehearsal {

/// One frame on its way out, in bench time.
struct Drawn {
  double submit_s = 0;
  double present_s = 0;
  double flip_s = 0;
  std::int64_t frame = 0;
};

/// The program under a press: when does the frame that answers it go out?
///
/// On press: it is drawn at once and flips at the next refresh (without vsync: at once).
/// Every frame: a frame is submitted shortly before each refresh and shows what has arrived by
/// then. Frame start: a frame begins when the present before it has returned, shows what had
/// arrived by then and flips at the refresh after. Without vsync all three draw at once.
class Program {
 public:
  Program(const HostSettings& settings, Refresh refresh, std::uint64_t seed);

  Drawn draw(double wanted_s);

 private:
  double refresh_from_s(double t_s) const;
  double submit_s(double wanted_s);
  double return_s() { return random_.uniform(settings_.return_min_s, settings_.return_max_s); }

  HostSettings settings_;
  Refresh refresh_;
  Random random_;
};

}  // namespace thumblight::rehearsal
