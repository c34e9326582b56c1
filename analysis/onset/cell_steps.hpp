#pragma once

#include <vector>

#include "analysis/onset/film.hpp"

namespace thumblight::onset {

/// A cell's level went up or down and stayed for a while. Times are good to a few milliseconds.
struct CellStep {
  double time_s = 0;
  float height = 0;  ///< in linear light, positive
};

/// All steps of one cell, in order of time.
struct CellTrain {
  std::vector<CellStep> ups;
  std::vector<CellStep> downs;
};

/// The steps of every cell that stand out of its noise.
std::vector<CellTrain> find_cell_steps(Film& film);

}  // namespace thumblight::onset
