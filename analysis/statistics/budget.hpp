#pragma once

#include <cstddef>
#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace thumblight::statistics {

/// How an uncertainty was evaluated: A by statistics of the observations themselves, B by any other
/// knowledge (JCGM 100:2008, 2.3.2 and 2.3.3).
enum class Evaluation { kTypeA, kTypeB };

enum class Distribution { kNormal, kStudentT, kRectangular, kTriangular, kTrapezoid, kArcsine };

/// As a word: "normal", "Student's t", "rectangular", "triangular", "trapezoid" or "arcsine".
const char* name(Distribution distribution);

inline constexpr double kInfiniteDof = std::numeric_limits<double>::infinity();

/// One source of uncertainty of one input.
struct BudgetLine {
  std::string source;
  Evaluation evaluation = Evaluation::kTypeB;
  Distribution distribution = Distribution::kNormal;
  double standard_uncertainty = 0;   ///< in the input's unit; of one press if it shrinks
  double sensitivity = 1;            ///< unit of the result per unit of the input (5.1.3)
  double dof = kInfiniteDof;         ///< one or more; infinite where the value is taken as known
  bool shrinks_with_n = false;       ///< divided by sqrt(n): it falls anew with every press. What
                                     ///< is the same at every press stays as it is.
  std::optional<double> half_width;  ///< what it was worked out from, where that is known
};

/// Standard uncertainty of a distribution with this half-width: rectangular a / sqrt 3 (4.3.7),
/// triangular a / sqrt 6 and trapezoid a sqrt((1 + beta^2) / 6), `beta` its top as a share of its
/// base (4.3.9), arcsine a / sqrt 2 (clause numbers from memory). For the normal and Student's t
/// the half-width is that of a 95 % interval (4.3.4), with `dof` for t. Throws `Error` at a
/// negative half-width, a beta outside 0 to 1 or a dof below 1.
double standard_uncertainty(Distribution distribution, double half_width, double beta = 0,
                            double dof = kInfiniteDof);

/// Degrees of freedom of a type B uncertainty that is itself known to a relative uncertainty
/// `share`, 1 / (2 share^2) (G.4.2, equation G.3).
double dof_of_relative_uncertainty(double share);

/// Correlation between the inputs of two lines, counted from 0.
struct LineCorrelation {
  std::size_t first;
  std::size_t second;
  double coefficient;  ///< from -1 to 1
};

struct BudgetRow {
  BudgetLine line;
  double contribution;    ///< |sensitivity| times uncertainty for n presses, in the result's unit
  double variance_share;  ///< of the combined variance without correlations; 0 if there is none
};

/// A statement of uncertainty in the manner of JCGM 100:2008, in the unit of the result.
struct Budget {
  std::vector<BudgetRow> rows;
  std::size_t n;         ///< presses
  double type_a;         ///< root sum of squares of the contributions of type A
  double type_b;         ///< and of type B
  double lasting;        ///< of those that do not shrink with n: what no number of presses removes
  double combined;       ///< u_c (5.1.2 equation 10; with correlations 5.2.2 equation 13)
  double effective_dof;  ///< Welch and Satterthwaite (G.4.1 equation G.2b), not truncated; infinite
                         ///< where every line is
  double coverage_factor;  ///< Student's t for `level` and the truncated degrees of freedom (G.6.4)
  double expanded;         ///< U = k u_c (6.2.1)
  double level;
};

/// Whole degrees of freedom for the coverage factor: rounded to one decimal place, as the GUM
/// prints them, then cut down. Its example G.4.1 comes to 18.99874, prints 19.0 and uses 19; plain
/// cutting would use 18. H.1 comes to 16.75 and uses 16.
double truncated_dof(double effective_dof);

/// Puts the budget together for n presses. With correlations the effective degrees of freedom still
/// are those of G.2b, which holds for independent inputs only: then the least degrees of freedom
/// among the correlated lines are taken where they are fewer. Absent without lines. Throws `Error`
/// at a negative uncertainty, a sensitivity that is not finite, degrees of freedom below 1, n = 0,
/// or a correlation that is none.
std::optional<Budget> make_budget(const std::vector<BudgetLine>& lines, std::size_t n,
                                  double level = 0.95,
                                  const std::vector<LineCorrelation>& correlations = {});

}  // namespace thumblight::statistics
