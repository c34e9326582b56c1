// The check of a film must be able to fail: made-up sessions with one thing wrong.
#include <catch2/catch.hpp>
#include <string>

#include "tests/bench/film/film_check.hpp"

using namespace thumblight;
using namespace thumblight::bench;
using nlohmann::json;

namespace {

constexpr std::int64_t kFirstNs = 5'000'000'000;
constexpr int kPresses = 12;

LevelChange seen_at(std::int64_t instant_ns) {
  return {0, true, instant_ns - 20'000, instant_ns + 20'000};
}

/// A press a second; the arrival 1 ms, the frame 2 ms and the light 5 ms after the lamp.
FilmedSession filmed_session() {
  FilmedSession filmed;
  filmed.camera.first_ns = kFirstNs;
  for (int index = 0; index < kPresses; ++index) {
    const std::int64_t lamp_ns = kFirstNs + (index + 1) * 1'000'000'000LL;
    filmed.presses.push_back(
        {{lamp_ns - 100'000, lamp_ns - 90'000}, seen_at(lamp_ns), seen_at(lamp_ns + 5'000'000)});
    session::Press press;
    press.index = index;
    press.arrival_ns = lamp_ns + 1'000'000;
    filmed.session.log.presses.push_back(press);
  }
  return filmed;
}

json mean(double mean_ms) {
  return {{"mean", mean_ms}};
}

json bounds(double low_ms, double high_ms) {
  return {{"bounds", {low_ms, high_ms}}};
}

/// What an analysis without an error would write of it.
FilmAnalysis analysis() {
  FilmAnalysis right;
  right.timings = {{"recording",
                    {{"clock", {{"rate_hz", 120.0}}},
                     {"camera", {{"exposure_s", 0.0}}},
                     {"shared", json::array()}}},
                   {"presses", json::array()}};
  right.result = {{"pairing", {{"paired", kPresses}}},
                  {"presses", json::array()},
                  {"summary",
                   {{"total_ms", mean(5)},
                    {"remainder_ms", mean(4)},
                    {"delivery_ms", bounds(0, 3)},
                    {"screen_ms", bounds(0, 4)},
                    {"display_ms", bounds(1, 5)}}}};
  right.shared_result = {
      {"presses", json::array()},
      {"summary", {{"delivery_ms", mean(1)}, {"screen_ms", mean(3)}, {"display_ms", mean(4)}}}};
  for (int index = 0; index < kPresses; ++index) {
    const double press_s = index + 1;
    right.timings["presses"].push_back({{"index", index},
                                        {"press", {{"t_s", press_s}, {"u_s", 0.0020}}},
                                        {"light", {{"t_s", press_s + 0.005}, {"u_s", 0.0020}}}});
    right.result["presses"].push_back({{"render_ms", 1.0}});
    right.shared_result["presses"].push_back({{"render_ms", 1.0}});
  }
  return right;
}

json& press_of(FilmAnalysis& of, int index) {
  return of.timings["presses"][static_cast<std::size_t>(index)];
}

}  // namespace

TEST_CASE("a film that agrees with the observer is met") {
  const FilmCheck check = check_film(analysis(), filmed_session());
  CHECK(check.faults.empty());
  CHECK(check.figures.size() == 10);
  CHECK(check.is_met());
  CHECK(check.instant_u_ms == Approx(2.0));
  CHECK(check.instant_error_ms == Approx(0).margin(1e-9));
}

TEST_CASE("a film is not met when") {
  FilmAnalysis wrong = analysis();
  FilmedSession filmed = filmed_session();
  SECTION("a press is lost") {
    wrong.timings["presses"].erase(3);
  }
  SECTION("a press is invented") {
    wrong.timings["presses"].push_back(press_of(wrong, 3));
  }
  SECTION("a press has no instant") {
    press_of(wrong, 3)["press"] = nullptr;
  }
  SECTION("a light is lost") {
    press_of(wrong, 3)["light"] = nullptr;
  }
  SECTION("a light was none") {
    filmed.presses[3].light.reset();
  }
  SECTION("an instant has no uncertainty") {
    press_of(wrong, 3)["light"]["u_s"] = nullptr;
  }
  SECTION("one instant is off by more than its uncertainty spans") {
    press_of(wrong, 3)["light"]["t_s"] = 4.0112;
  }
  SECTION("a press is not paired") {
    wrong.result["pairing"]["paired"] = kPresses - 1;
  }
  SECTION("each light is late within its own uncertainty, but all of them are") {
    for (int index = 0; index < kPresses; ++index) {
      press_of(wrong, index)["light"]["t_s"] = index + 1.0085;
    }
  }
  SECTION("a mean is off") {
    const std::string name = GENERATE("total_ms", "remainder_ms");
    wrong.result["summary"][name]["mean"] = 9.0;
  }
  SECTION("bounds do not hold the truth") {
    wrong.result["summary"]["delivery_ms"] = bounds(1.1, 3);
  }
  SECTION("a portion is not told") {
    wrong.shared_result["summary"]["screen_ms"] = nullptr;
  }
  CHECK_FALSE(check_film(wrong, filmed).is_met());
}
