#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>

#include "harness/session/reader.hpp"
#include "tests/bench/session_faults.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::bench;

namespace {

/// What the analysis makes of a session whose recording is on the host's own clock.
nlohmann::json split(const std::filesystem::path& folder) {
  ChildPlan plan;
  plan.program = ANALYSIS;
  plan.arguments = {"split", folder.string(), "--clock-link", "shared"};
  plan.stderr_file = folder / "split.stderr.txt";
  const int code = run_program(plan, 120);
  std::ifstream errors(plan.stderr_file);
  INFO(std::string(std::istreambuf_iterator<char>(errors), {}));
  REQUIRE(code == 0);
  std::ifstream input(folder / "result.json");
  return nlohmann::json::parse(input);
}

double ms_between(std::int64_t from_ns, std::int64_t to_ns) {
  return static_cast<double>(to_ns - from_ns) / 1e6;
}

}  // namespace

TEST_CASE("the split of a real session adds up and agrees with what the bench saw") {
  const std::string pacing = GENERATE("on-press", "every-frame", "frame-start");
  INFO(pacing);
  const test::TemporaryFolder folder;
  SessionPlan plan;
  plan.harness.program = HARNESS;
  plan.harness.folder = folder.path() / pacing;
  plan.harness.pacing = pacing;
  plan.harness.presses = 25;
  plan.harness.hold_ms = kShortHoldMs;
  plan.harness.rest_ms = 50;
  plan.gaps = easy_gaps(25, 8);
  plan.screen = {1280, 720};
  const SessionResult seen = run_session(plan);
  for (const std::string& fault : faults_of(seen)) {
    FAIL(fault);
  }
  const nlohmann::json presses = split(plan.harness.folder).at("presses");
  REQUIRE(presses.size() == 25);
  for (std::size_t index = 0; index < presses.size(); ++index) {
    INFO("press " << index);
    const nlohmann::json& press = presses[index];
    const double total_ms = press.at("total_ms");
    const double delivery_ms = press.at("delivery_ms");
    const double render_ms = press.at("render_ms");
    const double screen_ms = press.at("screen_ms");
    const TimedPress& truth = seen.pairing.presses[index];
    CHECK(total_ms == Approx(delivery_ms + render_ms + screen_ms).margin(0.001).epsilon(0));
    CHECK(total_ms == Approx(ms_between(truth.press.before_ns, truth.light->instant_ns()))
                          .margin(0.001)
                          .epsilon(0));
    CHECK(delivery_ms ==
          Approx(ms_between(truth.press.before_ns, seen.log.presses[index].arrival_ns))
              .margin(0.001)
              .epsilon(0));
  }
}
