#include "tests/bench/film/filmed_session.hpp"

#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>

#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"
#include "tests/bench/clock.hpp"
#include "tests/bench/film/observed_csv.hpp"

namespace thumblight::bench {
namespace {

constexpr Size kScreen = {640, 480};
constexpr Size kWindow = {480, 360};
constexpr WindowPlace kLamp = {16, 16, 48, 32};

/// As a thumb does, and a dozen pictures long.
constexpr double kHeldS = 0.1;
constexpr std::int64_t kFilmSettleNs = 500 * kNsPerMs;
constexpr std::size_t kPatchPixel = 0;
constexpr std::size_t kLampPixel = 1;

void refuse_overlap(const WindowPlace& window) {
  if (window.x < kLamp.x + kLamp.width && window.y < kLamp.y + kLamp.height) {
    throw Error("the harness's window covers the lamp's place");
  }
}

PixelAddress lamp_centre(const VirtualDisplay& display) {
  return display.screen().at(kLamp.x + kLamp.width / 2, kLamp.y + kLamp.height / 2);
}

/// What was pressed and seen of one run.
struct Watched {
  std::vector<Injection> injections;
  std::vector<LevelChange> changes;
  FilmedSession filmed;
};

Watched run(const FilmPlan& plan) {
  const HarnessPlan& harness_plan = plan.session.harness;
  const VirtualDisplay display(plan.session.screen);
  HarnessRun harness(display, harness_plan);
  refuse_overlap(harness.window());
  harness.injector().wire_lamp(kLamp);
  PixelObserver observer({harness.patch_centre(), lamp_centre(display)}, harness.halfway_level());
  CameraRun camera(plan.camera, display, plan.rate_hz, harness_plan.folder / "camera.mp4");
  sleep_ns(kFilmSettleNs);
  Watched watched;
  watched.injections = inject(harness.injector(), plan.session.gaps);
  FilmedSession& filmed = watched.filmed;
  filmed.session.exit_code = harness.finish(harness_plan.hold_ms / 1e3 + 1);
  filmed.camera = camera.finish();
  observer.stop();
  filmed.session.rate = observer.rate();
  filmed.session.log = session::read_log(harness_plan.folder / "session.jsonl");
  watched.changes = observer.changes();
  return watched;
}

void expect(bool holds, const std::string& sentence) {
  if (!holds) {
    throw Error("the session cannot be judged: " + sentence);
  }
}

/// A session whose log and observer agree, or there is no truth to hold a film against. A busy
/// machine may make the harness withhold some flashes.
void refuse_faults(const SessionResult& session, const Pairing& lamps) {
  const std::vector<session::Press>& logged = session.log.presses;
  const std::vector<TimedPress>& seen = session.pairing.presses;
  expect(logged.size() == seen.size(), std::to_string(seen.size()) + " presses were made, " +
                                           std::to_string(logged.size()) + " logged");
  expect(session.pairing.unexplained.empty(), "the patch lit up without a press");
  expect(lamps.unexplained.empty(), "the lamp lit up without a press");
  std::size_t flashes = 0;
  for (std::size_t index = 0; index < seen.size(); ++index) {
    const std::string name = "press " + std::to_string(index);
    expect(lamps.presses[index].light.has_value(), name + " lit no lamp");
    expect(seen[index].light.has_value() == logged[index].flashed,
           name + " is logged otherwise than the patch was seen");
    flashes += logged[index].flashed ? 1 : 0;
  }
  // It waits for as many flashes as there were presses, so it must be asked to end if it had fewer.
  expect(session.exit_code == (flashes == seen.size() ? kExitGood : kExitInterrupted),
         "the harness ended with the exit code " + std::to_string(session.exit_code));
  expect(4 * flashes >= 3 * seen.size(), "only " + std::to_string(flashes) + " of " +
                                             std::to_string(seen.size()) + " presses flashed");
}

void write_setup(const std::filesystem::path& file, const FilmPlan& plan,
                 const CameraReport& camera) {
  const nlohmann::ordered_json setup = {
      {"recording", "camera.mp4"},
      {"readout_s", camera.copy_median_ms / 1e3},
      {"press_from", "lamp"},
      {"labels", {{"bench", "filmed"}, {"pacing", plan.session.harness.pacing}}}};
  std::ofstream out(file);
  out << setup.dump(2) << std::endl;
  if (!out) {
    throw Error("'" + file.string() + "' cannot be written");
  }
}

void refuse_hold_up(double held_up_ms, const std::string& what) {
  if (held_up_ms > kLongestHoldUpMs) {
    throw HeldUp("the machine was too busy: it held " + what + " up for " +
                 std::to_string(std::llround(held_up_ms)) + " ms");
  }
}

/// From each stamp of a press to the next, whoever made it.
void refuse_hold_ups(const FilmedSession& filmed) {
  refuse_hold_up(filmed.camera.longest_gap_ms, "the camera");
  for (std::size_t index = 0; index < filmed.presses.size(); ++index) {
    const SeenPress& seen = filmed.presses[index];
    const session::Press& logged = filmed.session.log.presses[index];
    std::vector<std::int64_t> stamps_ns = {seen.press.before_ns, seen.lamp.instant_ns(),
                                           logged.arrival_ns};
    if (seen.light && logged.submit_ns) {
      stamps_ns.insert(stamps_ns.end(), {*logged.submit_ns, seen.light->instant_ns()});
    }
    for (std::size_t k = 1; k < stamps_ns.size(); ++k) {
      refuse_hold_up(static_cast<double>(stamps_ns[k] - stamps_ns[k - 1]) / 1e6,
                     "press " + std::to_string(index));
    }
  }
}

}  // namespace

FilmPlan film_plan(const std::filesystem::path& harness, const std::filesystem::path& camera,
                   const std::filesystem::path& folder, const std::string& pacing, int presses) {
  FilmPlan plan;
  plan.camera = camera;
  plan.session.screen = kScreen;
  plan.session.harness.program = harness;
  plan.session.harness.folder = folder;
  plan.session.harness.pacing = pacing;
  plan.session.harness.window = kWindow;
  plan.session.harness.presses = presses;
  plan.session.gaps = {presses, 0.6, 0.8, kHeldS, 1};
  return plan;
}

FilmedSession film_session(const FilmPlan& plan) {
  auto [injections, changes, filmed] = run(plan);
  filmed.session.pairing = pair_flashes(injections, changes_of(changes, kPatchPixel));
  const Pairing lamps = pair_flashes(injections, changes_of(changes, kLampPixel));
  refuse_faults(filmed.session, lamps);
  for (std::size_t index = 0; index < injections.size(); ++index) {
    filmed.presses.push_back({injections[index], *lamps.presses[index].light,
                              filmed.session.pairing.presses[index].light});
  }
  filmed.folder = plan.session.harness.folder;
  write_setup(filmed.folder / "setup.json", plan, filmed.camera);
  write_observed(filmed.folder / "observed.csv", filmed.presses, filmed.camera.first_ns);
  refuse_hold_ups(filmed);
  return filmed;
}

FilmedSession film_session_patiently(FilmPlan plan,
                                     const std::function<void(const std::string&)>& tell) {
  const std::filesystem::path folder = plan.session.harness.folder;
  for (int attempt = 2; attempt <= 3; ++attempt) {
    try {
      return film_session(plan);
    } catch (const HeldUp& error) {
      tell(error.what());
      plan.session.harness.folder = folder.string() + "-" + std::to_string(attempt);
    }
  }
  return film_session(plan);
}

}  // namespace thumblight::bench
