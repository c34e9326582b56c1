#include "analysis/timing/carry_over.hpp"

#include <catch2/catch.hpp>

#include "tests/analysis/verb_bench.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using Catch::Matchers::Contains;
using nlohmann::json;
using test::analyse;

namespace {

/// Sessions on one screen; the first is quick to deliver, so its bounds are the tightest.
class OneScreen {
 public:
  explicit OneScreen(bool on_one_clock = false) {
    if (on_one_clock) {
      bench_.offset_s = 0;
      bench_.host_base_ns = 0;
    }
    bench_.presses = 60;
    bench_.screen_jitter_ms = 0.2;
    bench_.delivery_ms = 0.3;
    bench_.delivery_jitter_ms = 1;
    test::Bench slow = bench_;
    slow.delivery_ms = 6;
    slow.delivery_jitter_ms = 8;
    sessions_ = {test::simulated(bench_, 1), test::simulated(slow, 2)};
    sessions_[1].log.header.labels["connection"] = "wireless";
  }

  test::SimulatedSession& operator[](std::size_t k) { return sessions_[k]; }
  const test::Bench& bench() const { return bench_; }

  test::Answer answer(const std::vector<std::string>& options) {
    std::vector<std::string> arguments = {
        "compare", test::put_session(folder_.path() / "wired", sessions_[0]),
        test::put_session(folder_.path() / "wireless", sessions_[1])};
    arguments.insert(arguments.end(), options.begin(), options.end());
    return analyse(arguments);
  }
  json screens() { return answer({"--out", "-"}).json()["same_screen"]; }

 private:
  test::TemporaryFolder folder_;
  test::Bench bench_;
  std::vector<test::SimulatedSession> sessions_;
};

bool holds(const json& bounds, double value) {
  return bounds[0].get<double>() <= value && value <= bounds[1].get<double>();
}

}  // namespace

TEST_CASE("the tightest of the bounds serve all") {
  const timing::CarryOver carried =
      timing::carry_over({{{2, 9}, 0.5}, {{0, 4}, 0.25}, {{3, 12}, 2}});
  REQUIRE(carried.screen);
  CHECK(carried.screen->mean_ms.low_ms == 1.5);
  CHECK(carried.screen->mean_ms.high_ms == 4.25);
  CHECK(carried.screen->low_from == 0);
  CHECK(carried.screen->high_from == 1);
  // What a session borrows is widened by how far its own mean may lie from the long run's.
  const timing::Bounds own = timing::own_screen_ms(*carried.screen, 1, timing::Bounds{0, 5});
  CHECK(own.low_ms == 0.5);
  CHECK(own.high_ms == 5);
  CHECK(timing::own_screen_ms(*carried.screen, 2, std::nullopt).low_ms == 0);
}

TEST_CASE("sessions that exclude each other's mean share none") {
  const timing::CarryOver carried = timing::carry_over({{{2, 3}, 0.1}, {{2, 9}, 3}, {{4, 5}, 0.1}});
  CHECK_FALSE(carried.screen);
  REQUIRE(carried.contradiction);
  CHECK(*carried.contradiction == std::pair<std::size_t, std::size_t>{2, 0});
  CHECK_FALSE(timing::carry_over({}).screen);
  CHECK_FALSE(timing::carry_over({}).contradiction);
}

TEST_CASE("compare: a wired session tightens a wireless one on the same screen") {
  OneScreen screen;
  const json answer = screen.answer({"--out", "-"}).json();
  REQUIRE(answer["same_screen"].size() == 1);
  const json& group = answer["same_screen"][0];
  CHECK(group["sessions"] == json({"A", "B"}));
  CHECK(group["high_from"] == "A");
  // Simulated: screen 20 to 20.2 ms, delivery of the wireless one 6 to 14 ms, both uniform.
  CHECK(holds(group["screen_mean_ms"], 20.1));
  REQUIRE(group["carried"].size() == 2);
  const json& wireless = group["carried"][1];
  CHECK(wireless["session"] == "B");
  CHECK(holds(wireless["delivery_ms"]["bounds"], 10));
  CHECK(holds(wireless["screen_ms"]["bounds"], 20.1));
  // By itself its quickest press, after 6 ms, lets its mean delivery be as little as 4 ms; the
  // wired one's takes 0.3 ms, which leaves the screen no more than that above its own.
  CHECK(wireless["delivery_ms"]["bounds"][0].get<double>() > 8.5);
  CHECK_THAT(screen.answer({}).out,
             Contains("Carried over, supposing that the screen portion is the same in A and B") &&
                 Contains("carried over\n"));
}

TEST_CASE("compare: other displays are refused carry-over, with the reason") {
  OneScreen screen;
  screen[1].log.header.display.name = "another";
  CHECK(screen.screens().empty());
  const std::string out = screen.answer({}).out;
  CHECK_THAT(out, Contains("need not be the same in both: display (") && !Contains("Carried over"));
}

TEST_CASE("compare: screens that contradict each other carry nothing over") {
  OneScreen screen(true);
  test::Bench other = screen.bench();
  other.screen_ms = 60;
  screen[1].timings = test::simulated(other, 3).timings;
  screen[1].log.presses = test::simulated(other, 3).log.presses;
  // A known clock bounds a screen from below too.
  const json group = screen.answer({"--clock-link", "shared", "--out", "-"}).json()["same_screen"];
  CAPTURE(group.dump());
  REQUIRE(group.size() == 1);
  CHECK(group[0]["screen_mean_ms"].is_null());
  CHECK(group[0]["contradict"].size() == 2);
  CHECK_THAT(screen.answer({"--clock-link", "shared"}).out,
             Contains("Nothing is carried over among"));
}

TEST_CASE("compare: too few presses neither lend nor borrow") {
  OneScreen screen;
  screen[1].timings.presses.resize(5);
  screen[1].log.presses.resize(5);
  const json groups = screen.screens();
  REQUIRE(groups.size() == 1);
  CHECK(groups[0]["high_from"] == "A");
  for (const json& carried : groups[0]["carried"]) {
    CHECK(carried["session"] == "A");
  }
}
