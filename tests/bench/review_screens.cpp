#include "harness/session/error.hpp"
#include "tests/bench/clock.hpp"
#include "tests/bench/commands.hpp"
#include "tests/bench/screen_picture.hpp"
#include "tests/bench/virtual_display.hpp"
#include "tests/bench/window_driver.hpp"

namespace thumblight::bench {
namespace {

constexpr Size kReviewSizes[] = {{1280, 720}, {1920, 1080}};
constexpr std::int64_t kSettledNs = 3000 * kNsPerMs;  // a small film is read well before that
constexpr std::int64_t kDrawnNs = 300 * kNsPerMs;

void run_analysis(const BenchOptions& options, const std::vector<std::string>& arguments) {
  ChildPlan plan;
  plan.program = options.analysis;
  plan.arguments = arguments;
  if (run_program(plan, 300) != kExitGood) {
    throw Error("'thumblight-analysis " + arguments.front() + "' failed");
  }
}

/// One key after another, each with time to be drawn.
void type(WindowDriver& driver, std::initializer_list<const char*> keys) {
  for (const char* key : keys) {
    driver.key(key);
    sleep_ns(kDrawnNs / 3);
  }
  sleep_ns(kDrawnNs);
}

/// Goes through what a review has to show: marks, a region in hand, one pixel close to, the keys.
void shoot_review(const BenchOptions& options, const std::filesystem::path& session, Size size) {
  const VirtualDisplay display(size);
  ChildPlan plan;
  plan.program = options.analysis;
  plan.arguments = {"review", session.string()};
  plan.environment = {{"DISPLAY", display.name()}, {"SDL_VIDEODRIVER", "x11"}};
  plan.stderr_file = session.string() + ".stderr.txt";
  ChildProcess review(plan);
  sleep_ns(kSettledNs);
  WindowDriver driver(display.name());
  const auto shoot_page = [&](const std::string& page) {
    shoot(display, options.out / ("review-" + page + "-" + text_of(size) + ".png"));
  };
  type(driver, {"Right", "p", "Down", "x", "Down", "Return", "Down", "Tab", "Right", "l"});
  shoot_page("marks");
  type(driver, {"r", "shift+Right"});
  shoot_page("regions");
  type(driver, {"Escape"});
  driver.move_mouse(size.width * 28 / 100, size.height * 27 / 100);
  for (int turn = 0; turn < 6; ++turn) {
    driver.click(4);
  }
  sleep_ns(kDrawnNs);
  shoot_page("close");
  type(driver, {"0", "x"});
  shoot_page("reasons");
  type(driver, {"Escape", "h"});
  shoot_page("keys");
  type(driver, {"q"});
  if (review.wait(5) != kExitGood) {
    throw Error("the review did not end at its key");
  }
  std::filesystem::remove(plan.stderr_file);
}

}  // namespace

int review_screens(const BenchOptions& options) {
  const std::filesystem::path session = options.out / "evening-1";
  run_analysis(options, {"rehearse", session.string(), "--presses", "14", "--seed", "5"});
  run_analysis(options, {"measure", session.string(), "--no-report", "--no-pictures"});
  for (const Size& size : kReviewSizes) {
    shoot_review(options, session, size);
    std::filesystem::remove(session / "marks.jsonl");
  }
  std::filesystem::remove_all(session);
  return kExitGood;
}

}  // namespace thumblight::bench
