#include <catch2/catch.hpp>

#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"
#include "tests/bench/clock.hpp"
#include "tests/bench/commands.hpp"
#include "tests/bench/session_faults.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::bench;

namespace {

SessionPlan plan_for(const std::filesystem::path& folder, const std::string& pacing, int presses) {
  SessionPlan plan;
  plan.harness.program = HARNESS;
  plan.harness.folder = folder / pacing;
  plan.harness.pacing = pacing;
  plan.harness.presses = presses;
  plan.harness.hold_ms = kShortHoldMs;
  plan.harness.rest_ms = 50;
  plan.gaps = easy_gaps(presses, 20260301);
  plan.screen = {1280, 720};
  return plan;
}

std::vector<LevelChange> lights_of(const Pairing& pairing) {
  std::vector<LevelChange> lights;
  for (const TimedPress& press : pairing.presses) {
    if (press.light) {
      lights.push_back(*press.light);
    }
  }
  return lights;
}

}  // namespace

TEST_CASE("every press is logged, flashed and seen, in order, in each pacing") {
  const std::string pacing = GENERATE("on-press", "every-frame", "frame-start");
  const test::TemporaryFolder folder;
  const SessionResult result = run_session(plan_for(folder.path(), pacing, 25));
  INFO(pacing);
  for (const std::string& fault : faults_of(result)) {
    FAIL_CHECK(fault);
  }
  CHECK(result.log.presses.size() == 25);
  CHECK(result.log.darks.size() == 25);
  CHECK(result.log.header.pacing == pacing);
  CHECK(result.log.header.clock == "CLOCK_MONOTONIC_RAW");
  CHECK(most_flashes_in_a_second(result.pairing.presses) <= 3);
}

TEST_CASE("a harness that is killed has logged every flash but the one in flight") {
  const test::TemporaryFolder folder;
  BenchOptions options;
  options.harness = HARNESS;
  options.out = folder.path();
  options.presses = 16;  // kills: each way to run, near a press and farther from one, twice
  CHECK(kill_test(options) == kExitGood);
}

TEST_CASE("no more than three flashes in any second, however fast the presses come") {
  const test::TemporaryFolder folder;
  SessionPlan plan = plan_for(folder.path(), "on-press", 0);
  plan.harness.rest_ms = 0;
  plan.gaps = {100, 0.045, 0.055, 0.02, 5};
  const SessionResult result = run_session(plan);
  CHECK(most_flashes_in_a_second(result.pairing.presses) == 3);
  CHECK(result.pairing.unexplained.empty());
  REQUIRE(result.log.presses.size() == 100);
  std::vector<session::Press> flashed;
  for (std::size_t index = 0; index < 100; ++index) {
    INFO("press " << index);
    const session::Press& press = result.log.presses[index];
    CHECK(press.arrival_ns >= result.pairing.presses[index].press.before_ns);
    CHECK(press.flashed == press.withheld.empty());
    if (press.flashed) {
      flashed.push_back(press);
    }
  }
  // Three in each 1.15 s (the limiter's 1.05 s and the hold) of the five seconds.
  CHECK(flashed.size() >= 12);
  CHECK(flashed.size() <= 16);
  const std::vector<LevelChange> lights = lights_of(result.pairing);
  REQUIRE(lights.size() == flashed.size());
  for (std::size_t index = 0; index < lights.size(); ++index) {
    INFO("flash " << index);
    CHECK(flashed[index].submit_ns <= lights[index].after_ns);
  }
}
