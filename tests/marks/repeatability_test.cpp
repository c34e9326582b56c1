#include "analysis/marks/repeatability.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "analysis/report/portion_budget.hpp"

using namespace thumblight;
using marks::repeatability_of;

namespace {

/// Peak expiratory flow of 17 people with one meter, twice each, in l/min: J. M. Bland and
/// D. G. Altman, Statistical methods for assessing agreement between two methods of clinical
/// measurement, The Lancet 1986, table 1 (values from memory; they give the published results).
const std::vector<std::vector<double>> kTwice = {
    {494, 490}, {395, 397}, {516, 512}, {434, 401}, {476, 470}, {557, 611},
    {413, 415}, {442, 431}, {650, 638}, {433, 429}, {417, 420}, {656, 633},
    {267, 275}, {478, 492}, {178, 165}, {423, 372}, {427, 421}};

statistics::Summary summary_of(std::size_t n, double sd) {
  statistics::Summary summary;
  summary.n = n;
  summary.mean = 50;
  summary.sd = sd;
  return summary;
}

const statistics::BudgetRow* row(const statistics::Budget& budget, const std::string& source) {
  for (const statistics::BudgetRow& each : budget.rows) {
    if (each.line.source == source) {
      return &each;
    }
  }
  return nullptr;
}

}  // namespace

TEST_CASE("the within-person standard deviation is that of a published example") {
  const auto found = repeatability_of(kTwice);
  REQUIRE(found);
  // Published: within-subject standard deviation 15.3 l/min, standard deviation of the differences
  // 21.6 and coefficient of repeatability 43.2 (from memory).
  CHECK(found->sd_s == Approx(15.3).margin(0.05));
  CHECK(found->sd_s * std::sqrt(2.0) == Approx(21.6).margin(0.06));
  CHECK(found->dof == 17);
  CHECK(found->instants == 17);
}

TEST_CASE("it is the root of the residual mean square of a one-way analysis of variance") {
  // The general way for instants placed unequally often, by sums of squares (ISO 5725-2, 7.4).
  std::vector<std::vector<double>> times = kTwice;
  times[3].push_back(420);
  times.push_back({100});
  times.push_back({});
  double squares = 0;
  double dof = 0;
  for (const std::vector<double>& of_one : times) {
    double sum = 0;
    double sum2 = 0;
    for (const double value : of_one) {
      sum += value;
      sum2 += value * value;
    }
    if (!of_one.empty()) {
      squares += sum2 - sum * sum / static_cast<double>(of_one.size());
      dof += static_cast<double>(of_one.size()) - 1;
    }
  }
  const auto found = repeatability_of(times);
  REQUIRE(found);
  CHECK(found->sd_s == Approx(std::sqrt(squares / dof)));
  CHECK(found->dof == dof);
  CHECK(found->instants == 17);
}

TEST_CASE("what one pass is off as a whole counts as well") {
  const auto found = repeatability_of({{1.0, 1.004}, {2.0, 2.004}, {3.0, 3.004}});
  REQUIRE(found);
  CHECK(found->sd_s == Approx(0.004 / std::sqrt(2.0)));
}

TEST_CASE("nothing placed twice tells no repeatability; placed alike it is nil") {
  CHECK_FALSE(repeatability_of({}));
  CHECK_FALSE(repeatability_of({{1.0}, {2.0}}));
  const auto same = repeatability_of({{1.0, 1.0}});
  REQUIRE(same);
  CHECK(same->sd_s == 0);
  CHECK(same->dof == 1);
}

TEST_CASE("the budget bears the repeatability as a line of type A, and counts nothing twice") {
  const auto summary = summary_of(20, 5);
  const auto plain = report::portion_budget(summary, 1.0, {});
  const auto with = report::portion_budget(summary, 1.0, {}, timing::MarkRepeatability{3, 10});
  REQUIRE(plain);
  REQUIRE(with);
  CHECK(with->combined == Approx(plain->combined));
  CHECK(with->combined == Approx(5 / std::sqrt(20.0)));
  const statistics::BudgetRow* line = row(*with, "repeatability of marks");
  REQUIRE(line != nullptr);
  CHECK(line->line.evaluation == statistics::Evaluation::kTypeA);
  CHECK(line->line.dof == 10);
  CHECK(line->line.standard_uncertainty == 3);
  CHECK(line->contribution == Approx(3 / std::sqrt(20.0)));
  CHECK(row(*with, "scatter of the presses")->line.standard_uncertainty == Approx(4));
  // Never surer than the scatter alone: 1 / dof = 1 / 19 + 2 (3/5)^4 / 10, by hand.
  CHECK(with->effective_dof == Approx(1 / (1 / 19.0 + 2 * std::pow(0.6, 4) / 10)));
  CHECK(with->effective_dof < plain->effective_dof);
}

TEST_CASE("marks that repeat worse than the presses scatter set the uncertainty themselves") {
  const auto budget =
      report::portion_budget(summary_of(16, 1), 1.5, {}, timing::MarkRepeatability{2, 4});
  REQUIRE(budget);
  CHECK(budget->combined == Approx(2 / 4.0));
  CHECK(budget->effective_dof == Approx(4));
  // And half a frame where the presses scatter less than the frames, of which repeatability is a
  // part, is not added to it.
  const auto frames =
      report::portion_budget(summary_of(16, 1), 2.5, {}, timing::MarkRepeatability{1.5, 4});
  REQUIRE(frames);
  CHECK(frames->combined == Approx(2.5 / 4));
  CHECK(row(*frames, "resolution of the instants")->line.standard_uncertainty == Approx(2));
}

TEST_CASE("marks that repeat to the frame are a line of nil") {
  const auto budget =
      report::portion_budget(summary_of(16, 2), 1.0, {}, timing::MarkRepeatability{0, 7});
  REQUIRE(budget);
  CHECK(budget->combined == Approx(0.5));
  CHECK(row(*budget, "repeatability of marks")->contribution == 0);
  CHECK(budget->effective_dof == Approx(15));
}
