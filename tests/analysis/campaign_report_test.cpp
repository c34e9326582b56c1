#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <map>

#include "analysis/commands/read_session.hpp"
#include "analysis/report/attribution.hpp"
#include "analysis/report/result_json.hpp"
#include "analysis/report/result_reader.hpp"
#include "harness/session/error.hpp"
#include "tests/analysis/campaign_bench.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using Catch::Matchers::Contains;
using nlohmann::json;
using test::analyse;
namespace fs = std::filesystem;

namespace {

struct Effect {
  double ms;
  double low;
  double high;
};

std::map<std::string, Effect> effects_on(const json& campaign, const std::string& portion) {
  std::map<std::string, Effect> effects;
  for (const json& attribution : campaign["attribution"]) {
    if (attribution["portion"] != portion) {
      continue;
    }
    for (const json& effect : attribution["effects"]) {
      effects[effect["level"].get<std::string>() + " against " +
              effect["against"].get<std::string>()] = {effect["ms"], effect["ci95"][0],
                                                       effect["ci95"][1]};
    }
  }
  return effects;
}

json measured(const std::string& campaign) {
  REQUIRE(analyse({"measure", campaign}).exit_code == 0);
  return analyse({"compare", campaign, "--out", "-"}).json();
}

/// The attribution of the total, as text.
std::string says(const json& campaign) {
  return campaign["attribution"][0]["says"].dump();
}

/// An interval of 95 % misses the truth once in twenty times, but not by far. How often is counted
/// below.
void check_near(const Effect& effect, double truth, double widest) {
  const double half_width = (effect.high - effect.low) / 2;
  CHECK(2 * half_width < widest);
  CHECK(std::abs(effect.ms - truth) < 1.5 * half_width);
}

report::ComparedSession session_of(const test::SimulatedSetUp& set_up, unsigned seed) {
  const test::SimulatedSession simulated = test::simulated(set_up, seed);
  report::ComparedSession session;
  session.path = set_up.folder;
  session.result = commands::split_session(simulated.timings, &simulated.log, {}, {}, {});
  session.header = simulated.log.header;
  return session;
}

}  // namespace

TEST_CASE("Attribution: intervals of 95 % take in the true effects 19 times of 20") {
  const std::map<std::string, double> truth = {{"Stork", 2}, {"wireless", 5}, {"television", 12}};
  constexpr unsigned kCampaigns = 30;
  int taken_in = 0;
  for (unsigned seed = 0; seed < kCampaigns; ++seed) {
    std::vector<report::ComparedSession> sessions;
    for (const test::SimulatedSetUp& set_up : test::full_design()) {
      sessions.push_back(
          session_of(set_up, 1000 * (seed + 1) + static_cast<unsigned>(sessions.size())));
    }
    const std::vector<report::Attribution> found = report::attribute(sessions);
    REQUIRE(found.size() == 2);
    REQUIRE(found.front().model.effects.size() == 3);
    for (const statistics::MeanEffect& effect : found.front().model.effects) {
      const double true_ms = truth.at(effect.level);
      taken_in += effect.interval->low <= true_ms && true_ms <= effect.interval->high ? 1 : 0;
    }
  }
  // Binomial, 90 intervals: fewer than 81 come with a probability of 0.01.
  CHECK(taken_in >= 81);
}

TEST_CASE("Attribution: the true effects of a full design are found") {
  const test::TemporaryFolder folder;
  const json campaign = measured(test::put_campaign(folder.path(), test::full_design()));
  const auto total = effects_on(campaign, "total");
  REQUIRE(total.size() == 3);
  check_near(total.at("Stork against Heron"), 2, 1);
  check_near(total.at("wireless against wired"), 5, 1);
  check_near(total.at("television against monitor"), 12, 1);
  const auto remainder = effects_on(campaign, "remainder");
  check_near(remainder.at("wireless against wired"), 5, 1);
  // The remainder leaves the render portion out, and is known the better for it.
  CHECK(remainder.at("wireless against wired").high - remainder.at("wireless against wired").low <
        total.at("wireless against wired").high - total.at("wireless against wired").low);
  CHECK_THAT(says(campaign), Contains("controller x connection: no sign that they do not add up"));
  CHECK(campaign["attribution"][0]["interactions"].size() == 3);
}

TEST_CASE("Attribution: an interaction is seen where set-ups were repeated") {
  std::vector<test::SimulatedSetUp> set_ups = test::full_design();
  for (test::SimulatedSetUp& set_up : set_ups) {
    set_up.delivery_ms += set_up.controller == "Stork" && set_up.connection == "wireless" ? 9 : 0;
  }
  const test::TemporaryFolder folder;
  CHECK_THAT(says(measured(test::put_campaign(folder.path(), set_ups))),
             Contains("controller x connection: their effects do not simply add up"));
}

TEST_CASE("Attribution: what always changed together is named") {
  const test::TemporaryFolder folder;
  std::vector<test::SimulatedSetUp> set_ups = {
      {"a", "Heron", "wired", "tower", "monitor", 4, 20},
      {"b", "Heron", "wireless", "tower", "monitor", 9, 20},
      {"c", "Heron", "wired", "handheld", "panel", 4, 30},
      {"d", "Heron", "wireless", "handheld", "panel", 9, 30}};
  const json campaign = measured(test::put_campaign(folder.path(), set_ups));
  CHECK_THAT(says(campaign), Contains("cannot tell device and display apart"));
  CHECK_THAT(says(campaign), Contains("No set-up was measured twice"));
  const auto total = effects_on(campaign, "total");
  REQUIRE(total.size() == 2);
  // One degree of freedom is left, so the intervals are wide.
  check_near(total.at("handheld and panel against tower and monitor"), 10, 15);
  check_near(total.at("wireless against wired"), 5, 15);
}

TEST_CASE("Attribution: a set-up that stands alone, and labels that never change") {
  const test::TemporaryFolder folder;
  const std::string alone = test::put_campaign(folder.path() / "alone", {test::four_set_ups()[0]});
  CHECK(measured(alone)["attribution"].empty());
  const std::string same = test::put_campaign(folder.path() / "same",
                                              {{"a", "Heron", "wired"}, {"b", "Heron", "wired"}});
  const json campaign = measured(same);
  CHECK(campaign["attribution"].empty());
  CHECK(campaign["set_ups"][0]["name"] != campaign["set_ups"][1]["name"]);
  // Three cells of four: what the fourth would have told is not made up.
  std::vector<test::SimulatedSetUp> nested = {
      {"a", "Heron", "wired"}, {"b", "Stork", "wired"}, {"c", "Stork", "wireless"}};
  const json partly = measured(test::put_campaign(folder.path() / "nested", nested));
  CHECK_THAT(says(partly), Contains("as many effects as sessions"));
  CHECK(effects_on(partly, "total").size() == 2);
}

TEST_CASE("A result is read back as it was written, but for its presses") {
  const test::TemporaryFolder folder;
  const std::string path =
      test::put_session(folder.path() / "a", test::simulated(test::four_set_ups()[1], 5));
  const report::Result made = commands::read_session(path, {}, std::nullopt).result;
  const std::string text = report::encode_result_json(made);
  const report::Result read = report::read_result_summary(json::parse(text), "result.json");
  CHECK(read.split.presses.empty());
  for (const timing::Portion portion : timing::kPortions) {
    CAPTURE(timing::name(portion));
    const report::PortionResult& a = made.portions[portion];
    const report::PortionResult& b = read.portions[portion];
    REQUIRE(a.summary.has_value() == b.summary.has_value());
    REQUIRE(a.mean_bounds.has_value() == b.mean_bounds.has_value());
    CHECK(a.value_u_ms.has_value() == b.value_u_ms.has_value());
    if (a.summary) {
      CHECK(b.summary->n == a.summary->n);
      CHECK(b.summary->mean == Approx(a.summary->mean).margin(1e-6));
      CHECK(*b.summary->sd == Approx(*a.summary->sd).margin(1e-6));
      CHECK(b.budget->combined == Approx(a.budget->combined).margin(1e-6));
      CHECK(b.budget->effective_dof == Approx(a.budget->effective_dof));
      CHECK(b.mean_interval->low == Approx(a.mean_interval->low).margin(1e-6));
      CHECK(read.split.shared[portion].size() == made.split.shared[portion].size());
    } else if (a.mean_bounds) {
      CHECK(b.mean_bounds->high_ms == Approx(a.mean_bounds->high_ms).margin(1e-6));
    }
  }
  CHECK(read.labels == made.labels);
  CHECK(read.split.clock_link.kind == made.split.clock_link.kind);
  CHECK(read.variation->spread[timing::Portion::kScreen]->observed_sd ==
        Approx(made.variation->spread[timing::Portion::kScreen]->observed_sd).margin(1e-6));
}

TEST_CASE("A result that is spoilt is refused with the key that is wrong") {
  const test::TemporaryFolder folder;
  const std::string path =
      test::put_session(folder.path() / "a", test::simulated(test::four_set_ups()[1], 5, 8));
  const json whole = json::parse(
      report::encode_result_json(commands::read_session(path, {}, std::nullopt).result));
  const json flat = whole.flatten();
  std::size_t refused = 0;
  for (const auto& [pointer, value] : flat.items()) {
    if (pointer.starts_with("/presses")) {
      continue;
    }
    for (const json& wrong : {json("text"), json(-1e300), json(json::object()), json(nullptr)}) {
      json spoilt = whole;
      spoilt[json::json_pointer(pointer)] = wrong;
      try {
        report::read_result_summary(spoilt, "result.json");
      } catch (const Error& error) {
        ++refused;
        CHECK_THAT(error.what(), Contains("result.json"));
      }
    }
  }
  CHECK(refused > 50);
  for (const auto& [key, value] : whole.items()) {
    json without = whole;
    without.erase(key);
    if (key == "summary" || key == "clock_link" || key == "recording" || key == "labels" ||
        key == "warnings") {
      CAPTURE(key);
      CHECK_THROWS_AS(report::read_result_summary(without, "result.json"), Error);
    }
  }
}
