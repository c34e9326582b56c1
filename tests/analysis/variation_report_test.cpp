#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>

#include "analysis/report/result_json.hpp"
#include "analysis/report/terminal_table.hpp"
#include "analysis/report/variation.hpp"
#include "tests/analysis/variation_bench.hpp"

using namespace thumblight;
using namespace thumblight::report;
using Catch::Matchers::Contains;
using nlohmann::json;
using test::Bench;
using test::Delays;
using test::SimulatedSession;
using timing::ClockLinkKind;
using timing::Portion;

namespace {

Result result_of(const SimulatedSession& session, ClockLinkKind kind = ClockLinkKind::kCausality) {
  return make_result(timing::split_presses(session.timings, &session.log, kind), session.timings,
                     &session.log);
}

Result varied(const Delays& delays, const Bench& bench = {}, unsigned seed = 1) {
  std::mt19937 random(seed);
  return result_of(test::vary(bench, delays, random));
}

/// Render without a wait for the refresh, so that delivery and screen are all that varies.
Result varied_without_wait(double delivery_sd_ms, double screen_sd_ms, const Bench& bench) {
  std::mt19937 random(2);
  SimulatedSession session = test::observe(bench, test::simulate(bench, random));
  for (std::size_t k = 0; k < session.log.presses.size(); ++k) {
    const double late_ms = test::normal_ms(0, delivery_sd_ms)(random);
    session.log.presses[k].arrival_ns += std::llround(late_ms * 1e6);
    *session.log.presses[k].submit_ns += std::llround(late_ms * 1e6);
    session.timings.presses[k].light->t_s +=
        1e-3 * (late_ms + test::normal_ms(0, screen_sd_ms)(random));
  }
  return result_of(session);
}

Bench still_bench() {
  Bench bench;
  bench.delivery_ms = 20;
  bench.delivery_jitter_ms = 0;
  bench.render_jitter_ms = 0.1;
  bench.screen_jitter_ms = 0;
  return bench;
}

std::string all_of(const Result& result) {
  std::string text;
  for (const std::string& line : sentences(*result.variation)) {
    text += line + '\n';
  }
  return text;
}

const Structure* find(const Result& result, StructureKind kind) {
  for (const Structure& structure : result.variation->structure) {
    if (structure.kind == kind) {
      return &structure;
    }
  }
  return nullptr;
}

}  // namespace

TEST_CASE(
    "the limits hold the true spreads of delivery and screen 19 times of 20, no offset known") {
  int delivery_held = 0;
  int screen_held = 0;
  constexpr int kSessions = 100;
  std::mt19937 random(3);
  Bench bench;
  bench.frame_s = 1.0 / 240;
  bench.rate = 1e-5;
  Delays delays;
  delays.delivery_ms = [](std::mt19937& r) { return std::gamma_distribution<double>(4, 1.5)(r); };
  delays.screen_ms = test::normal_ms(20, 2);
  for (int session = 0; session < kSessions; ++session) {
    const Result result = result_of(test::vary(bench, delays, random), ClockLinkKind::kNone);
    const auto& delivery = *result.variation->spread[Portion::kDelivery];
    const auto& screen = *result.variation->spread[Portion::kScreen];
    delivery_held += delivery.low <= 3 && 3 <= delivery.high ? 1 : 0;
    screen_held += screen.low <= 2 && 2 <= screen.high ? 1 : 0;
  }
  // 95 of 100 are expected; 87 or fewer happen once in 600 (binomial).
  CHECK(delivery_held >= 88);
  CHECK(screen_held >= 88);
}

TEST_CASE("the side that makes the jitter is named where the limits tell them apart") {
  Bench bench = still_bench();
  CHECK_THAT(all_of(varied_without_wait(3.1, 0.4, bench)),
             Contains("Most of the jitter comes from the input side."));
  CHECK_THAT(all_of(varied_without_wait(0.4, 3.1, bench)),
             Contains("Most of the jitter comes from the screen side."));
  CHECK_THAT(all_of(varied_without_wait(2, 2, bench)), Contains("This session cannot tell"));
  bench.render_jitter_ms = 30;
  CHECK_THAT(all_of(varied_without_wait(1.5, 0.1, bench)),
             Contains("from the program and its wait for the refresh.") &&
                 Contains("Of the rest, most comes from the input side."));
}

TEST_CASE("what the camera hides is a limit and not 0") {
  Bench bench = still_bench();
  bench.frame_s = 1.0 / 120;
  const Result result = varied_without_wait(0.05, 0.05, bench);
  const auto& delivery = *result.variation->spread[Portion::kDelivery];
  CHECK_FALSE(delivery.is_resolved());
  CHECK(delivery.high > 0.05);
  CHECK_THAT(all_of(result),
             Contains("delivery varies by less than ") && Contains("(not resolved)"));
  CHECK_THAT(all_of(result), Contains("This session cannot tell"));
  const json encoded = json::parse(encode_result_json(result))["variation"]["portions"]["delivery"];
  CHECK(encoded["resolved"] == false);
  CHECK(encoded["low_ms"] == 0);
  CHECK(encoded["high_ms"].get<double>() > 0);
  CHECK(encoded["camera_u_ms"].get<double>() == Approx(1e3 / 120 / std::sqrt(12.0)).epsilon(1e-6));
}

TEST_CASE("an instant without an uncertainty leaves the camera's share unknown") {
  std::mt19937 random(4);
  SimulatedSession session = test::vary({}, {}, random);
  session.timings.presses[3].press->u_s.reset();
  const json encoded = json::parse(encode_result_json(result_of(session)))["variation"];
  CHECK(encoded["portions"]["delivery"]["camera_u_ms"].is_null());
  CHECK(encoded["portions"]["delivery"]["sd_ms"].is_null());
  CHECK(encoded["portions"]["screen"]["camera_u_ms"] == 0);
}

TEST_CASE("polling is told from presses made in steps, and from the refresh") {
  Delays polled;
  polled.poll_s = 0.008;
  const Result result = varied(polled);
  const Structure* polling = find(result, StructureKind::kPolling);
  REQUIRE(polling != nullptr);
  CHECK(polling->size_ms == Approx(8).epsilon(1e-6));
  CHECK_THAT(all_of(result),
             Contains("grid of 8.000000 ms") && Contains("polled") && Contains("2.31 ms"));

  std::mt19937 random(5);
  Bench bench;
  std::vector<test::TruePress> presses = test::simulate(bench, random);
  for (test::TruePress& press : presses) {
    press.press_s = test::grid_after(press.press_s, 0.008);
    press.arrival_s = press.press_s + 0.003;
    press.submit_s = press.arrival_s + 0.001;
    press.light_s = press.submit_s + 0.020;
  }
  const Result stepped = result_of(test::observe(bench, presses));
  CHECK(find(stepped, StructureKind::kPressSteps) != nullptr);
  CHECK(find(stepped, StructureKind::kPolling) == nullptr);

  bench.frame_s = 1.0 / 60;  // so coarse a camera does not tell the two apart
  const Result coarse = result_of(test::observe(bench, presses));
  CHECK(find(coarse, StructureKind::kGrid) != nullptr);
  CHECK_THAT(all_of(coarse), Contains("or the presses were made in such steps"));

  polled.poll_s = test::kRefreshSeconds;
  const Result at_frames = varied(polled);
  CHECK(find(at_frames, StructureKind::kRefreshGrid) != nullptr);
  CHECK(find(at_frames, StructureKind::kPolling) == nullptr);
}

TEST_CASE("missed frames and retries are named with their share and distance") {
  Delays delays;
  delays.screen_ms = [](std::mt19937& random) {
    const double missed = std::uniform_real_distribution<double>()(random) < 0.2 ? 1 : 0;
    return test::normal_ms(20, 0.5)(random) + missed * 1e3 * test::kRefreshSeconds;
  };
  Bench bench;
  bench.frame_s = 1.0 / 240;
  bench.presses = 60;
  const Result result = varied(delays, bench);
  const Structure* clusters = find(result, StructureKind::kTwoClusters);
  REQUIRE(clusters != nullptr);
  CHECK(clusters->portion == Portion::kScreen);
  CHECK(clusters->is_missed_frame);
  CHECK(*clusters->share == Approx(0.2).margin(0.15));
  CHECK(clusters->size_ms == Approx(1e3 * test::kRefreshSeconds).margin(2));
  CHECK_THAT(all_of(result), Contains("a missed frame"));

  Delays retries;
  retries.delivery_ms = [](std::mt19937& random) {
    const double retried = std::uniform_real_distribution<double>()(random) < 0.2 ? 1 : 0;
    return test::normal_ms(5, 0.5)(random) + retried * 12;
  };
  const Result late = varied(retries);
  REQUIRE(find(late, StructureKind::kTwoClusters) != nullptr);
  CHECK(find(late, StructureKind::kTwoClusters)->portion == Portion::kDelivery);
  CHECK_THAT(all_of(late), Contains("longer than at the others"));
}

TEST_CASE("a screen portion that goes with the submit's place in the refresh is named") {
  std::mt19937 random(6);
  Delays delays;
  delays.delivery_ms = test::normal_ms(5, 1);
  SimulatedSession session = test::vary({}, delays, random);
  CHECK(find(result_of(session), StructureKind::kRefreshPhase) == nullptr);
  // Without vsync the submit is taken for the flip, so the wait for the refresh counts as screen.
  session.log.header.display.vsync = false;
  const Result result = result_of(session);
  REQUIRE(result.split.flip_how == "submit");
  const Structure* wave = find(result, StructureKind::kRefreshPhase);
  REQUIRE(wave != nullptr);
  // A sawtooth one refresh high: its first harmonic is 2 / pi of that from crest to trough.
  CHECK(wave->size_ms == Approx(2e3 * test::kRefreshSeconds / 3.14159).epsilon(0.2));
  CHECK_THAT(all_of(result), Contains("place in the refresh"));
}

TEST_CASE("a session without structure names none, in all but 1 of 100") {
  int named = 0;
  for (unsigned seed = 100; seed < 200; ++seed) {
    Delays delays;
    delays.delivery_ms = [](std::mt19937& r) { return std::gamma_distribution<double>(2, 2)(r); };
    delays.screen_ms = test::normal_ms(20, 1);
    Bench bench;
    bench.frame_s = seed % 2 == 0 ? 1.0 / 240 : 0;
    named += varied(delays, bench, seed).variation->structure.empty() ? 0 : 1;
  }
  CHECK(named <= 3);  // 1 in 100 for each portion's groups; 4 of 100 then happen once in 7
}

TEST_CASE("result.json and the table say what varies; without a log neither does") {
  Delays delays;
  delays.poll_s = 0.008;
  const Result result = varied(delays);
  const json encoded = json::parse(encode_result_json(result))["variation"];
  for (const char* portion : {"delivery", "render", "screen"}) {
    INFO(portion);
    CHECK(encoded["portions"][portion]["n"] == 40);
    CHECK(encoded["portions"][portion]["low_ms"] <= encoded["portions"][portion]["high_ms"]);
  }
  CHECK(encoded["says"].size() >= 3);
  CHECK(encoded["structure"][0]["kind"] == "polling");
  CHECK(encoded["structure"][0]["says"].is_string());
  const std::string table = terminal_table(result);
  CHECK_THAT(table, Contains("delivery varies"));
  CHECK_THAT(table, !Contains("nan") && !Contains("inf"));
  std::mt19937 random(9);
  const SimulatedSession session = test::vary({}, delays, random);
  const Result without =
      make_result(timing::split_presses(session.timings, nullptr, ClockLinkKind::kNone),
                  session.timings, nullptr);
  CHECK(json::parse(encode_result_json(without))["variation"].is_null());
  CHECK_THAT(terminal_table(without), !Contains("varies"));
}

TEST_CASE("too few presses: nothing is said of what varies") {
  Bench bench;
  bench.presses = 3;
  const Result result = varied({}, bench);
  CHECK(json::parse(encode_result_json(result))["variation"]["portions"]["screen"].is_null());
  CHECK(sentences(*result.variation).empty());
}
