#include "harness/session/error.hpp"
#include "tests/bench/clock.hpp"
#include "tests/bench/commands.hpp"
#include "tests/bench/key_injector.hpp"
#include "tests/bench/pixel_observer.hpp"
#include "tests/bench/screen_picture.hpp"
#include "tests/bench/virtual_display.hpp"

namespace thumblight::bench {
namespace {

constexpr Size kSizes[] = {{640, 480}, {1280, 720}, {1920, 1080}};
constexpr std::int64_t kPageNs = 700 * kNsPerMs;     // a page is up well before that
constexpr std::int64_t kAnswerNs = 1300 * kNsPerMs;  // the caution wants a key held for a second

void tap(KeyInjector& key, std::int64_t held_ns) {
  key.press();
  sleep_ns(held_ns);
  key.release();
}

void wait_for_rise(const PixelObserver& observer) {
  const std::int64_t deadline_ns = monotonic_raw_ns() + 5 * kNsPerS;
  while (observer.changes().empty()) {
    if (monotonic_raw_ns() > deadline_ns) {
      throw Error("the patch did not light up for its picture");
    }
    sleep_ns(kNsPerMs);
  }
}

/// Goes through the pages in their order: caution, learn, armed, bright, end.
void shoot_pages(const BenchOptions& options, Size size) {
  const VirtualDisplay display(size);
  const std::filesystem::path folder = options.out / ("evening-" + text_of(size));
  ChildPlan plan;
  plan.program = options.harness;
  plan.arguments = {"--out", folder.string(), "--presses", "1", "--hold-ms", "500"};
  plan.environment = {{"DISPLAY", display.name()}, {"SDL_VIDEODRIVER", "x11"}};
  plan.stderr_file = folder.string() + ".stderr.txt";
  ChildProcess harness(plan);
  KeyInjector key(display.name(), "space");
  key.focus_program();
  const auto png = [&](const std::string& page) {
    return options.out / (page + "-" + text_of(size) + ".png");
  };
  sleep_ns(kPageNs);
  shoot(display, png("caution"));
  tap(key, kAnswerNs);
  sleep_ns(kPageNs);
  shoot(display, png("learn"));
  tap(key, 50 * kNsPerMs);
  sleep_ns(2 * kPageNs);
  shoot(display, png("armed"));
  const PixelObserver observer({display.screen().at(size.width / 2, size.height / 2)}, 128);
  tap(key, 50 * kNsPerMs);
  wait_for_rise(observer);
  shoot(display, png("bright"));
  sleep_ns(kNsPerS);
  shoot(display, png("end"));
  tap(key, 50 * kNsPerMs);
  if (harness.wait(5) != kExitGood) {
    throw Error("the harness did not leave its last page at a key");
  }
  std::filesystem::remove_all(folder);  // only the pictures stay
  std::filesystem::remove(plan.stderr_file);
}

}  // namespace

int screenshots(const BenchOptions& options) {
  for (const Size& size : kSizes) {
    shoot_pages(options, size);
  }
  return kExitGood;
}

}  // namespace thumblight::bench
