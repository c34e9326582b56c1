#pragma once

#include <vector>

#include "analysis/rehearsal/truth.hpp"

namespace thumblight::rehearsal {

/// The finger's way down over the time of the bench: 0 is raised, 1 is the end of the travel.
class FingerMotion {
 public:
  explicit FingerMotion(const std::vector<PressTruth>& presses);

  double position(double bench_s) const;

 private:
  /// A move from one position to the other, smooth at both ends (half a period of a cosine).
  struct Move {
    double start_s = 0;
    double end_s = 0;
    bool down = false;
  };

  std::vector<Move> moves_;
};

}  // namespace thumblight::rehearsal
