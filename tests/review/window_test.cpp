#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <csignal>
#include <fstream>
#include <functional>
#include <nlohmann/json.hpp>

#include "analysis/marks/mark_set.hpp"
#include "analysis/marks/marks_reader.hpp"
#include "analysis/onset/timings_reader.hpp"
#include "analysis/review/frame_view.hpp"
#include "analysis/review/layout.hpp"
#include "analysis/review/palette.hpp"
#include "harness/session/error.hpp"
#include "tests/bench/child_process.hpp"
#include "tests/bench/clock.hpp"
#include "tests/bench/virtual_display.hpp"
#include "tests/bench/window_driver.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::bench;
using Catch::Matchers::Contains;

namespace {

constexpr Size kScreen = {1280, 720};
constexpr int kPresses = 11;
constexpr std::int64_t kSeenNs = 120 * kNsPerMs;  // a frame is mostly decoded and drawn by then

std::string contents(const std::filesystem::path& file) {
  std::ifstream input(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(input), {}};
}

void run_analysis(const std::vector<std::string>& arguments) {
  ChildPlan plan;
  plan.program = ANALYSIS;
  plan.arguments = arguments;
  REQUIRE(run_program(plan, 120) == kExitGood);
}

/// A rehearsed session, measured once and then copied.
std::filesystem::path make_session(const std::filesystem::path& folder, const std::string& name) {
  static const test::TemporaryFolder made;
  const std::filesystem::path first = made.path() / "session";
  if (!std::filesystem::exists(first)) {
    run_analysis(
        {"rehearse", first.string(), "--presses", std::to_string(kPresses), "--seed", "8"});
    run_analysis({"measure", first.string(), "--no-report", "--no-pictures"});
  }
  std::filesystem::copy(first, folder / name, std::filesystem::copy_options::recursive);
  return folder / name;
}

ChildPlan review_plan(const VirtualDisplay& display, const std::vector<std::string>& arguments) {
  ChildPlan plan;
  plan.program = ANALYSIS;
  plan.arguments = {"review"};
  plan.arguments.insert(plan.arguments.end(), arguments.begin(), arguments.end());
  plan.environment = {{"DISPLAY", display.name()}, {"SDL_VIDEODRIVER", "x11"}};
  return plan;
}

bool wait_until(const std::function<bool()>& met) {
  const std::int64_t deadline_ns = monotonic_raw_ns() + 20 * kNsPerS;
  while (!met() && monotonic_raw_ns() < deadline_ns) {
    sleep_ns(10 * kNsPerMs);
  }
  return met();
}

std::size_t records_in(const std::filesystem::path& session) {
  return marks::read_marks(session / marks::kMarksName).entries.size();
}

/// Presses a key until what it does is saved: a frame that is still being decoded takes no mark.
void key_that_saves(WindowDriver& driver, const char* key, const std::filesystem::path& session) {
  const std::size_t before = records_in(session);
  for (int attempt = 0; attempt < 10 && records_in(session) == before; ++attempt) {
    driver.key(key);
    for (int k = 0; k < 300 && records_in(session) == before; ++k) {
      sleep_ns(10 * kNsPerMs);
    }
  }
  REQUIRE(records_in(session) == before + 1);
}

/// Before it is drawn the window may be made anew, and takes keys twice that are down meanwhile.
void wait_for_drawing(const VirtualDisplay& display) {
  const review::Box hints = review::layout_for(kScreen.width, kScreen.height).hints;
  const PixelAddress corner =
      display.screen().at(static_cast<int>(hints.x) + 2, static_cast<int>(hints.bottom()) - 2);
  const std::uint32_t wanted =
      (review::kRaised.r << 16U) | (review::kRaised.g << 8U) | review::kRaised.b;
  REQUIRE(wait_until([&] { return (*corner & 0xFFFFFFU) == wanted; }));
}

struct Middle {
  int x = 0;
  int y = 0;
};

/// Where the middle of a region is in the window, when the whole frame is seen.
Middle middle_of(const onset::Region& region, const onset::CameraInfo& camera) {
  review::FrameView view;
  view.set_picture(camera.width, camera.height);
  view.set_window(review::layout_for(kScreen.width, kScreen.height).frame);
  const review::Point point =
      view.to_window(review::Point{region.x + region.w / 2, region.y + region.h / 2});
  return {static_cast<int>(std::lround(point.x)), static_cast<int>(std::lround(point.y))};
}

void drag_region(WindowDriver& driver, const Middle& from, int dx, int dy,
                 const std::filesystem::path& session) {
  const std::size_t before = records_in(session);
  driver.drag(from.x, from.y, from.x + dx, from.y + dy);
  REQUIRE(wait_until([&] { return records_in(session) == before + 1; }));
}

/// Goes to a press, marks it a frame later than the tool found it, and its light where it is.
void mark_press(WindowDriver& driver, const std::filesystem::path& session, bool first) {
  if (!first) {
    driver.key("Down");
    sleep_ns(kSeenNs);
  }
  driver.key("Right");
  sleep_ns(kSeenNs);
  key_that_saves(driver, "p", session);
  driver.key("Tab");
  sleep_ns(kSeenNs);
  key_that_saves(driver, "l", session);
}

}  // namespace

TEST_CASE("regions dragged, ten presses marked and three marks undone are saved and measured") {
  const test::TemporaryFolder folder;
  const std::filesystem::path session = make_session(folder.path(), "evening-1");
  const onset::Timings found = onset::read_timings(session / "timings.json");
  REQUIRE(found.presses.size() == kPresses);
  const VirtualDisplay display(kScreen);
  ChildProcess review(review_plan(display, {session.string()}));
  wait_for_drawing(display);
  WindowDriver driver(display.name());
  CHECK_THAT(driver.window_name(), Contains("evening-1"));
  for (const char* key : {"Right", "Right", "shift+Left", "shift+Right", "Left", "Left"}) {
    driver.key(key);
  }
  const onset::CameraInfo camera = *found.recording.camera;
  drag_region(driver, middle_of(*camera.patch, camera), 12, -9, session);
  drag_region(driver, middle_of(*camera.press, camera), -6, 5, session);
  for (int press = 0; press < 10; ++press) {
    mark_press(driver, session, press == 0);
  }
  for (int k = 0; k < 3; ++k) {
    key_that_saves(driver, "BackSpace", session);
  }
  driver.key("q");
  REQUIRE(review.wait(10) == kExitGood);

  const marks::MarkSet saved(marks::read_marks(session / marks::kMarksName).entries, found);
  for (const onset::PressTiming& press : found.presses) {
    INFO("press " << press.index);
    const marks::PressMarks* said = saved.find(press.index);
    if (press.index >= 9) {  // the tenth was undone, the eleventh never looked at
      CHECK((said == nullptr || !said->has_marks()));
      continue;
    }
    REQUIRE(said != nullptr);
    CHECK(said->press.at(1).frame.value() == *press.press->frame + 1);
    CHECK(said->light.size() == (press.index == 8 ? 0U : 1U));
    if (press.index < 8) {
      CHECK(said->light.at(1).frame.value() == *press.light->frame);
    }
  }
  REQUIRE(saved.regions().size() == 2);
  CHECK(saved.regions().at("patch").x > camera.patch->x);
  CHECK(saved.regions().at("patch").y < camera.patch->y);
  CHECK(saved.regions().count("press") == 1);

  run_analysis({"measure", session.string(), "--no-report", "--no-pictures"});
  const auto result = nlohmann::json::parse(contents(session / "result.json"));
  CHECK(result["by_hand"]["presses"] == 9);
  CHECK(result["by_hand"]["lights"] == 8);
  CHECK(result["presses"][0]["press_by"] == "hand");
  const auto& pressed = result["presses"];
  const auto ninth = std::find_if(pressed.begin(), pressed.end(),
                                  [](const auto& press) { return press["recorded"] == 8; });
  REQUIRE(ninth != pressed.end());
  CHECK((*ninth)["press_by"] == "hand");
  CHECK((*ninth)["light_by"] == "tool");
}

TEST_CASE("a review that is killed has saved every mark that was made") {
  const test::TemporaryFolder folder;
  const std::filesystem::path session = make_session(folder.path(), "evening-1");
  const onset::Timings found = onset::read_timings(session / "timings.json");
  std::size_t marked = 0;
  for (const int presses : {3, 2}) {
    const VirtualDisplay display(kScreen);
    ChildProcess review(review_plan(display, {session.string()}));
    wait_for_drawing(display);
    WindowDriver driver(display.name());
    for (int press = 0; press < presses; ++press) {
      mark_press(driver, session, press == 0);
      marked += 2;
    }
    driver.key("Down");  // something is going on
    review.kill();
    CHECK(records_in(session) == marked);
  }
  const marks::MarkSet saved(marks::read_marks(session / marks::kMarksName).entries, found);
  CHECK(saved.presses().size() == 3);
  CHECK(saved.find(2)->press.at(1).frame.value() == *found.presses[2].press->frame + 1);
}

TEST_CASE("a blind review names no session, and without a display there is one sentence") {
  const test::TemporaryFolder folder;
  const std::filesystem::path one = make_session(folder.path(), "wired-heron");
  const std::filesystem::path other = folder.path() / "wireless-plover";
  std::filesystem::copy(one, other, std::filesystem::copy_options::recursive);
  const VirtualDisplay display(kScreen);
  ChildPlan plan = review_plan(display, {one.string(), other.string(), "--blind"});
  plan.stdout_file = folder.path() / "out.txt";
  plan.stderr_file = folder.path() / "err.txt";
  ChildProcess review(plan);
  wait_for_drawing(display);
  WindowDriver driver(display.name());
  CHECK(driver.window_name() == "Thumblight review");
  for (const char* key : {"Down", "Down", "Up", "q"}) {
    driver.key(key);
  }
  CHECK(review.wait(10) == kExitGood);
  CHECK_THAT(contents(plan.stdout_file) + contents(plan.stderr_file),
             !Contains("heron") && !Contains("plover"));

  plan.environment = {
      {"DISPLAY", ":98765"}, {"WAYLAND_DISPLAY", "none"}, {"SDL_VIDEODRIVER", "x11"}};
  CHECK(run_program(plan, 20) == kExitFailed);
  CHECK_THAT(contents(plan.stderr_file), Contains("there is no display here"));
  plan.arguments = {"review", one.string(), other.string()};
  CHECK(run_program(plan, 20) == kExitUsage);
}
