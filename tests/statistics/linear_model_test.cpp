#include "analysis/statistics/linear_model.hpp"

#include <fstream>
#include <sstream>

#include "analysis/statistics/mean_difference.hpp"
#include "harness/session/error.hpp"
#include "tests/statistics/reference.hpp"

using namespace thumblight::statistics;
using thumblight::test::reference_json;
using thumblight::test::reference_rows;
using thumblight::test::to_digits;

namespace {

struct Table {
  std::vector<double> y;
  std::vector<Factor> factors;
};

Table table(const std::string& file, std::size_t y_column,
            const std::vector<std::pair<std::string, std::size_t>>& factors) {
  Table result;
  for (const auto& factor : factors) {
    result.factors.push_back({factor.first, {}});
  }
  for (const auto& row : reference_rows(file)) {
    result.y.push_back(std::stod(row.at(y_column)));
    for (std::size_t i = 0; i < factors.size(); ++i) {
      result.factors[i].level_of.push_back(row.at(factors[i].second));
    }
  }
  return result;
}

/// Treatment and response of a StRD file, whose data begin on line 61.
Table strd_table(const std::string& name) {
  std::ifstream stream(std::string(THUMBLIGHT_TESTS_DIR) + "/../data/nist/" + name + ".dat");
  Table result;
  result.factors.push_back({"treatment", {}});
  std::string line;
  for (int number = 1; std::getline(stream, line); ++number) {
    std::istringstream cells(line);
    std::string treatment;
    double response = 0;
    if (number > 60 && cells >> treatment >> response) {
      result.factors[0].level_of.push_back(treatment);
      result.y.push_back(response);
    }
  }
  return result;
}

void check_term(const VarianceTerm& term, std::size_t dof, double sum_of_squares, double f,
                int digits) {
  CAPTURE(term.name);
  CHECK(term.dof == dof);
  CHECK(term.sum_of_squares == to_digits(sum_of_squares, digits));
  CHECK(*term.f == to_digits(f, digits));
}

}  // namespace

TEST_CASE("NIST StRD analyses of variance: certified sums of squares and F") {
  // Digits that doubles allow: the data share 3, 7, 1, 7 and 13 leading digits.
  const std::vector<std::pair<std::string, int>> sets{
      {"SiRstv", 12}, {"AtmWtAg", 8}, {"SmLs01", 13}, {"SmLs04", 9}, {"SmLs07", 2}};
  const auto certified = reference_json("nist/strd_certified.json").at("anova");
  for (const auto& [name, digits] : sets) {
    CAPTURE(name);
    const Table data = strd_table(name);
    const auto& expected = certified.at(name);
    const auto number = [&](const char* key) {
      return std::stod(expected.at(key).get<std::string>());
    };
    REQUIRE(data.y.size() == expected.at("N").get<std::size_t>());
    const auto found = analyse_variance(data.y, data.factors);
    REQUIRE(found->terms.size() == 1);
    check_term(found->terms[0], expected.at("df_between").get<std::size_t>(), number("ss_between"),
               number("F"), digits);
    CHECK(found->residual_dof == expected.at("df_within").get<std::size_t>());
    CHECK(found->residual_sum_of_squares == to_digits(number("ss_within"), digits));
    CHECK(*found->residual_sd == to_digits(number("residual_sd"), digits));
    CHECK(*found->r_squared == to_digits(number("r_squared"), digits));
  }
}

TEST_CASE("One-way analysis of e-Handbook 7.4.3.3") {
  const Table data = table("nist/prc433_oneway.csv", 1, {{"level", 0}});
  const auto found = analyse_variance(data.y, data.factors);
  check_term(found->terms[0], 2, 27.897, 9.59, 3);  // printed (seen)
  check_term(found->terms[0], 2, 27.8973333333, 9.591107036, 9);
  CHECK(found->residual_sum_of_squares == Approx(17.452));
  CHECK(*found->terms[0].p == to_digits(0.003248222601, 9));
}

TEST_CASE("Ceramic strength of e-Handbook 1.3.5.5, four factors") {
  const Table data = table("nist/jahanmi2_ceramic_strength.csv", 2,
                           {{"X1", 3}, {"X2", 4}, {"X3", 5}, {"batch", 1}});
  REQUIRE(data.y.size() == 480);
  const auto found = analyse_variance(data.y, data.factors);
  // Printed, in single precision (seen).
  check_term(found->terms[0], 1, 26672.726562, 6.7080, 4);
  check_term(found->terms[1], 1, 11524.053711, 2.8982, 4);
  check_term(found->terms[2], 1, 14380.633789, 3.6166, 4);
  check_term(found->terms[3], 1, 727143.125, 182.8703, 4);
  // In doubles (SciPy and NumPy, computed).
  check_term(found->terms[0], 1, 26673.39372, 6.708133733, 9);
  check_term(found->terms[1], 1, 11524.46680, 2.898306279, 9);
  check_term(found->terms[2], 1, 14379.73837, 3.616383017, 9);
  check_term(found->terms[3], 1, 727137.6905, 182.8690013, 9);
  CHECK(found->residual_dof == 475);
  CHECK(*found->residual_sd == to_digits(63.05772261, 9));

  const auto model = fit_additive_model(data.y, data.factors);
  const Effect& batch = model->effects[3];
  CHECK(batch.factor == "batch");
  CHECK(batch.n == 240);
  CHECK(*batch.estimate == Approx(611.1559 - 688.9987).margin(1e-4));  // means printed (S2)
}

TEST_CASE("Two factors of the ceramic data with their interaction") {
  const Table data = table("nist/jahanmi2_ceramic_strength.csv", 2, {{"X1", 3}, {"batch", 1}});
  const auto found = analyse_variance(data.y, data.factors, {{0, 1}});
  CHECK(*found->terms[0].f == to_digits(6.737497435, 9));
  CHECK(*found->terms[1].f == to_digits(183.6694789, 9));
  CHECK(*found->terms[2].f == to_digits(7.622437042, 9));
  CHECK(found->terms[2].name == "X1 x batch");
  CHECK(found->residual_dof == 476);
}

TEST_CASE("ToothGrowth of R, two ways with interaction") {
  const Table data = table("nist/toothgrowth.csv", 0, {{"supp", 1}, {"dose", 2}});
  const auto found = analyse_variance(data.y, data.factors, {{0, 1}});
  // R prints 205.4, 2426.4, 108.3; F 15.572, 92.000, 4.107 (seen).
  check_term(found->terms[0], 1, 205.35, 15.57197945, 9);
  check_term(found->terms[1], 2, 2426.434333, 91.99996489, 9);
  check_term(found->terms[2], 2, 108.319, 4.106991094, 9);
  CHECK(*found->terms[0].p == to_digits(2.311828098e-4, 8));
  CHECK(*found->terms[1].p == to_digits(4.046291196e-18, 8));
  CHECK(*found->terms[2].p == to_digits(0.02186026896, 8));
  CHECK(found->residual_sum_of_squares == to_digits(712.106, 9));
  CHECK(found->residual_dof == 54);
  CHECK(found->confounded.empty());
}

TEST_CASE("One factor of two levels is the pooled t") {
  const std::vector<double> a{12, 15, 11, 18, 14};
  const std::vector<double> b{22, 19, 25};
  std::vector<double> all = a;
  all.insert(all.end(), b.begin(), b.end());
  const Factor side{"side", {"a", "a", "a", "a", "a", "b", "b", "b"}};
  const auto pooled = pooled_difference(b, a);
  const auto model = fit_additive_model(all, {side});
  CHECK(*model->base == Approx(14));
  REQUIRE(model->effects.size() == 1);
  CHECK(model->effects[0].level == "b");
  CHECK(model->effects[0].reference_level == "a");
  CHECK(*model->effects[0].estimate == Approx(pooled->difference));
  CHECK(*model->effects[0].standard_error == Approx(pooled->standard_error));
  CHECK(model->effects[0].interval->low == Approx(pooled->interval.low));
  CHECK(*analyse_variance(all, {side})->terms[0].f == Approx(*pooled->t * *pooled->t));
}

TEST_CASE("Unequal numbers of presses: known effects are found apart") {
  const Factor pad{"controller", {"A", "A", "A", "B", "B", "A", "B", "B", "A"}};
  const Factor screen{"display", {"X", "X", "Y", "X", "Y", "X", "Y", "Y", "X"}};
  std::vector<double> y;
  for (std::size_t i = 0; i < pad.level_of.size(); ++i) {
    y.push_back(30 + (pad.level_of[i] == "B" ? 5 : 0) + (screen.level_of[i] == "Y" ? -8 : 0));
  }
  const auto model = fit_additive_model(y, {pad, screen});
  CHECK(*model->base == Approx(30));
  CHECK(*model->effects[0].estimate == Approx(5));
  CHECK(*model->effects[1].estimate == Approx(-8));
  CHECK(model->confounded.empty());
}

TEST_CASE("Effects that always came together are named and not estimated") {
  const Factor pad{"controller", {"A", "A", "B", "B", "A", "B"}};
  const Factor screen{"display", {"X", "X", "Y", "Y", "X", "Y"}};
  const Factor mode{"mode", {"on", "off", "on", "off", "off", "on"}};
  const std::vector<double> y{30, 31, 40, 42, 29, 41};
  const auto model = fit_additive_model(y, {pad, screen, mode});
  REQUIRE(model->confounded.size() == 1);
  CHECK(sentence(model->confounded[0]) ==
        "The design cannot tell 'display Y' from 'controller B'.");
  CHECK_FALSE(model->effects[0].estimate);
  CHECK_FALSE(model->effects[0].interval);
  CHECK_FALSE(model->effects[1].estimate);
  CHECK(model->effects[2].estimate);
  CHECK(model->base);

  const auto variance = analyse_variance(y, {pad, screen, mode});
  CHECK(variance->terms[0].dof == 0);
  CHECK_FALSE(variance->terms[0].f);
  CHECK(variance->terms[2].dof == 1);
}

TEST_CASE("A factor of one level and a cell that was never measured are named") {
  const Factor pad{"controller", {"A", "A", "B", "B", "A", "A"}};
  const Factor screen{"display", {"X", "X", "X", "X", "Y", "Y"}};
  const Factor room{"room", {"lab", "lab", "lab", "lab", "lab", "lab"}};
  const std::vector<double> y{30, 31, 40, 42, 29, 27};
  const auto found = analyse_variance(y, {pad, screen, room}, {{0, 1}});
  REQUIRE(found->confounded.size() == 2);
  CHECK(found->confounded[0].effect == "room");
  CHECK(found->confounded[1].effect == "controller B x display Y");
  CHECK(sentence(found->confounded[1]) ==
        "The design says nothing about 'controller B x display Y': it holds nothing to compare.");
  CHECK(found->terms[2].dof == 0);
}

TEST_CASE("Without repeats an interaction has no test") {
  const Factor pad{"controller", {"A", "A", "B", "B"}};
  const Factor screen{"display", {"X", "Y", "X", "Y"}};
  const std::vector<double> y{30, 35, 41, 49};
  const auto found = analyse_variance(y, {pad, screen}, {{0, 1}});
  CHECK(found->residual_dof == 0);
  CHECK_FALSE(found->residual_sd);
  CHECK(found->terms[2].dof == 1);
  CHECK_FALSE(found->terms[2].f);
  CHECK_FALSE(found->terms[2].p);
  CHECK(analyse_variance(y, {pad, screen})->terms[0].f);
}

TEST_CASE("Equal values, nothing, and lists that do not fit") {
  const Factor pad{"controller", {"A", "A", "B", "B"}};
  const auto equal = analyse_variance(std::vector<double>(4, 33.3), {pad});
  CHECK(equal->terms[0].sum_of_squares == 0);
  CHECK_FALSE(equal->terms[0].f);
  CHECK_FALSE(equal->r_squared);
  // Every group constant: scatter of rounding is not taken for scatter.
  const auto steps = analyse_variance(std::vector<double>{54.167, 54.167, 50.1, 50.1}, {pad});
  CHECK(steps->residual_sum_of_squares == 0);
  CHECK_FALSE(steps->terms[0].f);
  CHECK_FALSE(analyse_variance({}, {Factor{"controller", {}}}));
  CHECK_FALSE(analyse_variance(std::vector<double>{1, 2}, {}));
  CHECK_FALSE(fit_additive_model({}, {}));
  CHECK_THROWS_AS(analyse_variance(std::vector<double>{1, 2}, {pad}), thumblight::Error);
  CHECK_THROWS_AS(analyse_variance(std::vector<double>{1, 2, 3, 4}, {pad}, {{0, 0}}),
                  thumblight::Error);
  CHECK_THROWS_AS(analyse_variance(std::vector<double>{1, 2, 3, 4}, {pad}, {{0, 1}}),
                  thumblight::Error);
}
