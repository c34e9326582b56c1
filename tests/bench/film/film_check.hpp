#pragma once

#include <string>
#include <vector>

#include "tests/bench/film/film_analysis.hpp"
#include "tests/bench/film/filmed_session.hpp"

namespace thumblight::bench {

/// A right analysis misses one figure in two thousand. Two (95 %) would fail one session in four:
/// a session has five figures that do not hang together.
inline constexpr double kCoverage = 3.5;

/// A mean over all presses that the film tells and the observer knows better, in milliseconds.
struct FilmFigure {
  std::string what;
  double low_ms = 0;  ///< the film's value, or where it gives bounds alone, the lower one
  double high_ms = 0;
  double seen_ms = 0;  ///< by the observer
  double u_ms = 0;     ///< standard, as stated of the instants that it comes from

  bool is_bounded() const { return low_ms < high_ms; }
  /// How far the film's value, or the nearer of its bounds, is from the observer's; 0 within them.
  double difference_ms() const;
  /// Whether the difference is within `kCoverage` standard uncertainties.
  bool is_met() const;
};

/// What the analysis made of a film, held against what the observer saw.
struct FilmCheck {
  std::vector<std::string> faults;  ///< presses or lights lost, invented or ill-timed
  std::vector<FilmFigure> figures;  ///< empty where presses or lights were lost or invented
  double frame_ms = 0;              ///< from picture to picture
  double exposure_ms = 0;           ///< as the analysis has it
  double instant_u_ms = 0;          ///< stated standard uncertainty of an instant, root mean square
  double instant_error_ms = 0;      ///< what the instants are off by, root mean square

  bool is_met() const;
};

FilmCheck check_film(const FilmAnalysis& analysis, const FilmedSession& filmed);

}  // namespace thumblight::bench
