#include "tests/bench/film/filmed_session.hpp"

#include <fstream>
#include <nlohmann/json.hpp>

#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"
#include "tests/bench/clock.hpp"
#include "tests/bench/film/observed_csv.hpp"
#include "tests/bench/session_faults.hpp"

namespace thumblight::bench {
namespace {

constexpr Size kScreen = {640, 480};
constexpr Size kWindow = {480, 360};
constexpr WindowPlace kLamp = {16, 16, 48, 32};

constexpr std::int64_t kSettleNs = 500 * kNsPerMs;
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

/// Presses as planned; the film is finished and the observer stopped when it returns.
FilmedSession run(const FilmPlan& plan, std::vector<LevelChange>& changes,
                  std::vector<Injection>& injections) {
  const HarnessPlan& harness_plan = plan.session.harness;
  const VirtualDisplay display(plan.session.screen);
  HarnessRun harness(display, harness_plan);
  refuse_overlap(harness.window());
  harness.injector().wire_lamp(kLamp);
  PixelObserver observer({harness.patch_centre(), lamp_centre(display)}, harness.halfway_level());
  CameraRun camera(plan.camera, display, plan.rate_hz, harness_plan.folder / "camera.mp4");
  sleep_ns(kSettleNs);
  injections = inject(harness.injector(), plan.session.gaps);
  // Before the harness ends, for its window takes the patch with it.
  sleep_ns(ns_of_s(harness_plan.hold_ms / 1e3));
  FilmedSession filmed;
  filmed.session.exit_code = harness.finish(3);
  filmed.camera = camera.finish();
  observer.stop();
  filmed.session.rate = observer.rate();
  filmed.session.log = session::read_log(harness_plan.folder / "session.jsonl");
  changes = observer.changes();
  return filmed;
}

void refuse_faults(const FilmedSession& filmed, const Pairing& lamps) {
  for (const std::string& fault : faults_of(filmed.session)) {
    throw Error("the session cannot be judged: " + fault);
  }
  for (const TimedPress& press : lamps.presses) {
    if (!press.light) {
      throw Error("the session cannot be judged: a press lit no lamp");
    }
  }
  if (!lamps.unexplained.empty()) {
    throw Error("the session cannot be judged: the lamp lit up without a press");
  }
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
  plan.session.gaps = easy_gaps(presses, 1);
  plan.session.gaps.held_s = 0.1;
  return plan;
}

FilmedSession film_session(const FilmPlan& plan) {
  std::vector<LevelChange> changes;
  std::vector<Injection> injections;
  FilmedSession filmed = run(plan, changes, injections);
  filmed.session.pairing = pair_flashes(injections, changes_of(changes, kPatchPixel));
  const Pairing lamps = pair_flashes(injections, changes_of(changes, kLampPixel));
  refuse_faults(filmed, lamps);
  for (std::size_t index = 0; index < injections.size(); ++index) {
    filmed.presses.push_back({injections[index], *lamps.presses[index].light,
                              *filmed.session.pairing.presses[index].light});
  }
  const std::filesystem::path& folder = plan.session.harness.folder;
  write_setup(folder / "setup.json", plan, filmed.camera);
  write_observed(folder / "observed.csv", filmed.presses, filmed.camera.first_ns);
  return filmed;
}

}  // namespace thumblight::bench
