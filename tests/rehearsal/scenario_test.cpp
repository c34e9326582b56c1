#include "analysis/rehearsal/scenario.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <set>

#include "analysis/rehearsal/truth.hpp"
#include "harness/session/error.hpp"

using namespace thumblight::rehearsal;
using Catch::Matchers::Contains;

namespace {

struct LongRun {
  double mean_ms = 0;
  double u_ms = 0;  ///< standard uncertainty of that mean
};

LongRun long_run(Settings settings) {
  settings.press.count = 20'000;
  const Truth truth = make_truth(settings);
  double n = 0;
  double sum_ms = 0;
  double squares = 0;
  for (const PressTruth& press : truth.presses) {
    const double total_ms = 1e3 * (press.flash->light.bench_s - press.contact.bench_s);
    n += 1;
    sum_ms += total_ms;
    squares += total_ms * total_ms;
  }
  const double mean_ms = sum_ms / n;
  return {mean_ms, std::sqrt((squares / n - mean_ms * mean_ms) / n)};
}

std::string scenario(const std::string& sessions, const std::string& parts = "{}") {
  return R"({"reference_ms":1,"effects_ms":{},"parts":{"every session":)" + parts +
         R"(,"a":{"press":{"count":7}},"b":{"press":{"count":9}}},"sessions":[)" + sessions + "]}";
}

}  // namespace

TEST_CASE("demo: twelve sessions, some repeated, some without a log") {
  const Scenario demo = demo_scenario();
  REQUIRE(demo.sessions.size() == 12);
  std::set<std::uint64_t> seeds;
  std::set<std::vector<std::string>> set_ups;
  int without_log = 0;
  for (const ScenarioSession& session : demo.sessions) {
    seeds.insert(session.settings.seed);
    set_ups.insert(session.parts);
    without_log += session.settings.log ? 0 : 1;
    for (const char* label : {"controller", "connection", "device", "display"}) {
      CHECK_FALSE(session.settings.setup.labels.at(label).empty());
    }
  }
  CHECK(seeds.size() == 12);
  CHECK(set_ups.size() == 10);
  CHECK(without_log == 2);
}

TEST_CASE("demo: the effects add up to what the settings make") {
  // The statement beside the settings against the simulation itself, 20 000 presses each. The
  // delivery's grids beat with each other and with the refresh, so that a session's own mean in the
  // long run may differ by some hundredths of a millisecond.
  constexpr double kBeat_ms = 0.1;
  const Scenario demo = demo_scenario();
  for (const ScenarioSession& session : demo.sessions) {
    double stated_ms = demo.reference_ms;
    for (const std::string& part : session.parts) {
      stated_ms += demo.effects_ms.at(part);
    }
    const LongRun found = long_run(session.settings);
    CAPTURE(session.folder, stated_ms, found.mean_ms, found.u_ms);
    CHECK(std::abs(found.mean_ms - stated_ms) <= kBeat_ms + 3 * found.u_ms);
  }
}

TEST_CASE("scenario: later parts go before earlier ones, the place is the seed") {
  const Scenario made = parse_scenario(
      scenario(
          R"({"folder":"x","parts":["a"]},{"folder":"y","parts":["a","b"],"clock_link":"lamp"})",
          R"({"press":{"count":5,"first_s":2}})"),
      "test");
  REQUIRE(made.sessions.size() == 2);
  CHECK(made.sessions[0].settings.press.count == 7);
  CHECK(made.sessions[0].settings.press.first_s == 2);
  CHECK(made.sessions[0].settings.seed == 1);
  CHECK(made.sessions[0].clock_link.empty());
  CHECK(made.sessions[1].settings.press.count == 9);
  CHECK(made.sessions[1].settings.seed == 2);
  CHECK(made.sessions[1].clock_link == "lamp");
}

TEST_CASE("scenario: what is wrong is named") {
  const auto fault = [](const std::string& text) -> std::string {
    try {
      parse_scenario(text, "s.json");
    } catch (const thumblight::Error& error) {
      return error.what();
    }
    return "";
  };
  CHECK_THAT(fault("{"), Contains("s.json"));
  CHECK_THAT(fault("{}"), Contains("sessions"));
  CHECK_THAT(fault(scenario(R"({"folder":"x","parts":["c"]})")), Contains("no part \"c\""));
  CHECK_THAT(fault(scenario(R"({"folder":"../x","parts":[]})")), Contains("cannot name"));
  CHECK_THAT(fault(scenario(R"({"folder":"a/b","parts":[]})")), Contains("cannot name"));
  CHECK_THAT(fault(scenario(R"({"folder":"","parts":[]})")), Contains("cannot name"));
  CHECK_THAT(fault(scenario(R"({"folder":"x","parts":[]},{"folder":"x","parts":[]})")),
             Contains("named twice"));
  CHECK_THAT(fault(scenario(R"({"folder":"x","parts":[]})", R"({"prss":{}})")), Contains("prss"));
}
