#pragma once

#include <optional>
#include <string>
#include <vector>

#include "analysis/onset/schedule.hpp"
#include "analysis/onset/setup.hpp"
#include "analysis/onset/step_groups.hpp"
#include "harness/session/records.hpp"

namespace thumblight::onset {

/// What was found in the picture, and where.
struct Sights {
  std::optional<StepGroup> patch;
  std::optional<StepGroup> lamp;  ///< on the button
  std::optional<StepGroup> host_lamp;
  std::optional<ScheduleFit> schedule;  ///< the patch against the log
  double wrong_rate = 1;  ///< the log fits only if recording seconds are this many host seconds
};

/// Tells patch and lamps apart: the patch follows the log's schedule or, without a log, is the
/// strongest group; a lamp steps shortly before it, press after press, and goes out at a time of
/// its own. `log` may be null.
Sights find_sights(const std::vector<CellTrain>& trains, const Film& film, const Setup& setup,
                   const session::Log* log);

/// What may be a lamp on the button where no patch tells: the region that the person names, or each
/// group that steps outside `elsewhere`, the strongest first.
std::vector<StepGroup> find_press_lamps(const std::vector<CellTrain>& trains, const Film& film,
                                        const Setup& setup, const std::vector<int>& elsewhere);

/// Cells that lie in a region of the upright picture, for the most part.
std::vector<int> cells_in(const Region& upright, const Film& film);

/// A rectangle of the upright picture, in pixels of the stored one.
Region stored_region(const Region& upright, const recording::VideoInfo& info);

/// The same the other way round.
Region upright_region(const Region& stored, const recording::VideoInfo& info);

/// Throws the `Error` of a region that lies outside the picture; `name` is its key in setup.json.
[[noreturn]] void refuse_outside(const std::string& file, const char* name);

/// The rectangle of the upright picture that holds the cells.
Region upright_bounds(const std::vector<int>& cells, const Film& film);

/// Host times of the flashes that the log says were shown, in seconds from its first press.
std::vector<double> flash_times_s(const session::Log& log);

}  // namespace thumblight::onset
