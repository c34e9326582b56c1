#include "analysis/statistics/distributions.hpp"

#include <limits>

#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;
using thumblight::test::reference_json;
using thumblight::test::reference_rows;
using thumblight::test::to_digits;

TEST_CASE("Quantiles agree with a 17-digit table") {
  // mpmath 1.2.1 (computed); a probability given as a double costs the last few of the digits.
  const auto table = reference_json("scipy/quantiles_mpmath.json");
  int compared = 0;
  for (const auto& [p, row] : table.at("student_t_ppf").items()) {
    for (const auto& [dof, expected] : row.items()) {
      CAPTURE(p, dof);
      CHECK(student_quantile(std::stod(p), std::stod(dof)) ==
            Approx(std::stod(expected.get<std::string>())).epsilon(1e-12).margin(1e-15));
      ++compared;
    }
  }
  CHECK(compared > 250);
  for (const auto& [p, expected] : table.at("normal_ppf").items()) {
    CAPTURE(p);
    CHECK(normal_quantile(std::stod(p)) ==
          Approx(std::stod(expected.get<std::string>())).epsilon(1e-12).margin(1e-15));
  }
  for (const auto& [dofs, expected] : table.at("F_ppf_0.95").items()) {
    CAPTURE(dofs);
    const auto comma = dofs.find(',');
    CHECK(fisher_quantile(0.95, std::stod(dofs.substr(0, comma)),
                          std::stod(dofs.substr(comma + 1))) ==
          to_digits(std::stod(expected.get<std::string>()), 12));
  }
}

TEST_CASE("Coverage factors agree with table G.2 of JCGM 100:2008") {
  const std::vector<double> levels{0.6827, 0.90, 0.95, 0.9545, 0.99, 0.9973};
  const auto rows = reference_rows("gum/gum_table_g2.csv");
  REQUIRE(rows.size() == 28);
  for (const auto& row : rows) {
    const double dof =
        row[0] == "inf" ? std::numeric_limits<double>::infinity() : std::stod(row[0]);
    for (std::size_t i = 0; i < levels.size(); ++i) {
      CAPTURE(row[0], levels[i]);
      CHECK(std::abs(student_two_sided_factor(levels[i], dof) - std::stod(row[i + 1])) < 6e-7);
    }
  }
}

TEST_CASE("Spot values of table G.2 as printed (seen in the source)") {
  CHECK(student_two_sided_factor(0.95, 1) == Approx(12.71).margin(0.005));
  CHECK(student_two_sided_factor(0.9973, 2) == Approx(19.21).margin(0.005));
  CHECK(student_two_sided_factor(0.99, 16) == Approx(2.92).margin(0.005));
}

TEST_CASE("Tails far out keep their digits") {
  // e-Handbook 1.3.5.3 AUTO83B: p of the pooled t, 17-digit arithmetic of mpmath and R (computed).
  CHECK(student_two_sided_p(-12.620591288724363, 326) == to_digits(5.27293545661e-30, 10));
  CHECK(normal_upper_tail(10) == to_digits(1 - normal_cdf(10) + 7.619853024160527e-24, 10));
}
