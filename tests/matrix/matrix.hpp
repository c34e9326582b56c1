#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "analysis/rehearsal/settings.hpp"

/// Rehearsed films read by `extract` and held against their truth.
namespace thumblight::test {

/// How far off the instants of one kind are.
struct Tally {
  int n = 0;
  double bias_s = 0;
  double sd_s = 0;
  double mean_u_s = 0;
  double covered = 0;  ///< share of |error| <= 2 u
  double within = 0;   ///< share of presses inside their stated stroke (finger alone)
};

struct Cell {
  std::string name;
  rehearsal::Settings settings;
  int expected = 0;  ///< flashed presses
  int missed = 0;    ///< lights that were not found
  int invented = 0;  ///< lights that are none
  Tally light;
  Tally press;
  Tally total;
  std::string fault;  ///< what `extract` said if it refused
};

/// Every condition of the matrix; `fast` picks the few that a test has time for.
std::vector<Cell> matrix_cells(bool fast);

/// Makes the film in `folder`, reads it and fills in the cell.
void run_cell(Cell& cell, const std::filesystem::path& folder);

/// What the cell promises: greatest bias and standard deviation of light and lamp, in seconds.
double allowed_bias_s(const Cell& cell);
double allowed_sd_s(const Cell& cell);

}  // namespace thumblight::test
