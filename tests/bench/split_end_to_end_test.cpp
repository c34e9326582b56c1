#include <catch2/catch.hpp>
#include <cstdio>
#include <fstream>
#include <nlohmann/json.hpp>

#include "harness/session/reader.hpp"
#include "tests/bench/session_faults.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::bench;

namespace {

/// What the analysis makes of a session. A virtual display has no scan-out to rest a prior on.
nlohmann::json split(const std::filesystem::path& folder, const std::string& clock_link) {
  ChildPlan plan;
  plan.program = ANALYSIS;
  plan.arguments = {"split", folder.string(), "--clock-link", clock_link, "--no-scan-out-prior"};
  plan.stderr_file = folder / "split.stderr.txt";
  const int code = run_program(plan, 120);
  std::ifstream errors(plan.stderr_file);
  INFO(std::string(std::istreambuf_iterator<char>(errors), {}));
  REQUIRE(code == 0);
  std::ifstream input(folder / "result.json");
  return nlohmann::json::parse(input);
}

SessionPlan plan_in(const std::filesystem::path& folder, const std::string& pacing) {
  constexpr int kPresses = 25;
  SessionPlan plan;
  plan.harness.program = HARNESS;
  plan.harness.folder = folder / pacing;
  plan.harness.pacing = pacing;
  plan.harness.presses = kPresses;
  plan.harness.hold_ms = kShortHoldMs;
  plan.harness.rest_ms = 50;
  plan.gaps = easy_gaps(kPresses, 8);
  plan.screen = {1280, 720};
  return plan;
}

SessionResult run_faultless(const SessionPlan& plan) {
  SessionResult seen = run_session(plan);
  for (const std::string& fault : faults_of(seen)) {
    FAIL(fault);
  }
  return seen;
}

double ms_between(std::int64_t from_ns, std::int64_t to_ns) {
  return static_cast<double>(to_ns - from_ns) / 1e6;
}

}  // namespace

TEST_CASE("the split of a real session adds up and agrees with what the bench saw") {
  const std::string pacing = GENERATE("on-press", "every-frame", "frame-start");
  INFO(pacing);
  const test::TemporaryFolder folder;
  const SessionPlan plan = plan_in(folder.path(), pacing);
  const SessionResult seen = run_faultless(plan);
  const nlohmann::json presses = split(plan.harness.folder, "shared").at("presses");
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

TEST_CASE("causality, which knows nothing of the shared clock, holds what it gives") {
  const bool vsync = GENERATE(false, true);
  INFO("vsync " << vsync);
  const test::TemporaryFolder folder;
  SessionPlan plan = plan_in(folder.path(), "on-press");
  plan.harness.vsync = vsync;
  run_faultless(plan);
  const nlohmann::json shared = split(plan.harness.folder, "shared").at("summary");
  const nlohmann::json causality = split(plan.harness.folder, "causality").at("summary");
  for (const std::string portion : {"delivery_ms", "screen_ms", "display_ms"}) {
    const double mean_ms = shared.at(portion).at("mean");
    const nlohmann::json& bounds = causality.at(portion).at("bounds");
    std::printf("vsync %s, %s: %.3f by the shared clock, %.3f to %.3f by causality\n",
                vsync ? "on" : "off", portion.c_str(), mean_ms, bounds.at(0).get<double>(),
                bounds.at(1).get<double>());
    CHECK(bounds.at(0).get<double>() <= mean_ms);
    CHECK(bounds.at(1).get<double>() >= mean_ms);
  }
}
