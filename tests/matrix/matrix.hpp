#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "tests/matrix/conditions.hpp"

/// Rehearsed films read by `extract` and held against their truth.
namespace thumblight::test {

/// One instant against the truth.
struct Miss {
  int seed = 0;
  double at_s = 0;        ///< the true instant, on the recording's clock
  double error_s = 0;     ///< read less true
  double u_s = 0;         ///< stated
  double shared_u_s = 0;  ///< the part of it that all of the film share
  bool within = true;     ///< of the stated stroke (finger alone)
};

/// The mean over one film, read less true, and its standard uncertainty: what the film's instants
/// share is not lessened by their number.
struct FilmMean {
  double error_s = 0;
  double u_s = 0;
};

/// All instants of one kind in a cell.
struct Tally {
  std::vector<Miss> all;

  int n() const { return static_cast<int>(all.size()); }
  double bias_s() const;
  double sd_s() const;
  double mean_u_s() const;
  /// As how many independent ones they count: instants of one film share a part of their doubt.
  double independent() const;
  std::vector<FilmMean> film_means() const;
  int covered() const;   ///< how many |error| <= 2 u
  double share() const;  ///< covered of all; 0 where there is none
  int within() const;    ///< how many presses lie in their stated stroke
  double ratio() const;  ///< root mean square of error / u: 1 where u is neither wishful nor padded
};

/// By how much the mean moves when every other frame is left out.
struct Halving {
  double shift_s = 0;
  double u_s = 0;  ///< standard uncertainty of the mean at the two rates, combined
};

struct Cell {
  Condition condition;
  int expected = 0;  ///< flashed presses
  int missed = 0;    ///< lights, or their presses, that were not found
  int invented = 0;  ///< lights and presses that are none
  Tally light;
  Tally press;
  std::vector<Halving> halvings;    ///< of light and lamp, film by film
  std::vector<std::string> faults;  ///< what `extract` said if it refused

  bool by_lamp() const { return condition.settings.lamp.on_button; }
};

struct RunOptions {
  int films = 1;                 ///< seeds pooled
  bool halve = false;            ///< read each film once more at half its rate
  std::filesystem::path folder;  ///< films that lie there are taken as they are
};

Cell run_cell(const Condition& condition, const RunOptions& options);

/// How many presses are read off films of `condition` that show neither finger nor lamp on the
/// button: each of them is invented.
int presses_out_of_sight(Condition condition, const RunOptions& options);

}  // namespace thumblight::test
