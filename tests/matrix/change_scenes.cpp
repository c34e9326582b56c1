#include "tests/matrix/change_scenes.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <stdexcept>

#include "analysis/onset/extract.hpp"
#include "analysis/rehearsal/rehearse.hpp"

namespace thumblight::test {
namespace {

using rehearsal::GameKind;
using rehearsal::Settings;

/// A console on a television: two refreshes in a queue, and a camera with some noise.
Settings plain() {
  Settings settings;
  settings.log = false;
  settings.host.pacing = rehearsal::Pacing::kFrameStart;
  settings.display.queued_refreshes = 2;
  settings.display.processing_s = 0.006;
  settings.scene.ambient = 0.12;
  settings.camera.read_noise = 0.005;
  settings.camera.full_well = 4000;
  settings.file.quality = 20;
  settings.setup.regions = true;
  settings.game.kind = GameKind::kFigure;
  return settings;
}

ChangeScene scene(const std::string& name, const std::function<void(Settings&)>& change,
                  bool hard = false) {
  ChangeScene made{name, plain(), hard};
  change(made.settings);
  return made;
}

void make_menu(Settings& settings) {
  settings.game.kind = GameKind::kMenu;
  settings.game.actor_w = 0.2;
  settings.game.actor_h = 0.08;
  settings.game.actor_y = 0.5;
  settings.game.actor = 0.3;
}

void make_dark(Settings& settings) {
  settings.game.ground = 0.004;
  settings.game.actor = 0.03;
  settings.scene.ambient = 0.01;
}

void add_jumps(std::vector<ChangeScene>& all) {
  all.push_back(scene("jump", [](Settings&) {}));
  all.push_back(scene("jump, small figure", [](Settings& s) {
    s.game.actor_w = 0.035;
    s.game.actor_h = 0.08;
    s.game.actor = 0.25;
  }));
  all.push_back(scene("jump, faint figure", [](Settings& s) { s.game.actor = 0.16; }));
  all.push_back(scene("jump, low", [](Settings& s) { s.game.jump_height = 0.08; }));
  all.push_back(scene(
      "jump, slow", [](Settings& s) { s.game.jump_ease_s = 0.1; }, true));
  all.push_back(scene(
      "jump, slow and faint",
      [](Settings& s) {
        s.game.jump_ease_s = 0.15;
        s.game.actor = 0.18;
      },
      true));
}

void add_motions(std::vector<ChangeScene>& all) {
  all.push_back(scene("idle, breathing", [](Settings& s) {
    s.game.idle_height = 0.03;
    s.game.idle_hz = 0.8;
  }));
  all.push_back(scene("idle, two poses", [](Settings& s) {
    s.game.idle_height = 0.02;
    s.game.idle_hz = 1.3;
    s.game.pose_hz = 2.2;
  }));
  all.push_back(scene("scrolling ground", [](Settings& s) {
    s.game.ground_contrast = 0.5;
    s.game.scroll_per_s = 0.15;
  }));
  all.push_back(scene("scrolling ground, fast", [](Settings& s) {
    s.game.ground_contrast = 0.6;
    s.game.scroll_per_s = 0.6;
    s.game.actor = 0.25;
  }));
  all.push_back(scene("blinking title", [](Settings& s) {
    s.game.blink_hz = 1.1;
    s.game.whole_screen = true;
  }));
  all.push_back(scene("menu", make_menu));
  all.push_back(scene("menu under a blinking title", [](Settings& s) {
    make_menu(s);
    s.game.blink_hz = 1.7;
    s.game.whole_screen = true;
  }));
}

void add_pictures(std::vector<ChangeScene>& all) {
  all.push_back(scene("dark", make_dark));
  all.push_back(scene(
      "dark, slow",
      [](Settings& s) {
        make_dark(s);
        s.game.jump_ease_s = 0.08;
      },
      true));
  all.push_back(scene("crf 28", [](Settings& s) { s.file.quality = 28; }));
  all.push_back(scene(
      "crf 28, slow",
      [](Settings& s) {
        s.file.quality = 28;
        s.game.jump_ease_s = 0.08;
      },
      true));
  all.push_back(scene(
      "crf 28, all motions",
      [](Settings& s) {
        s.file.quality = 28;
        s.game.idle_height = 0.02;
        s.game.blink_hz = 0.9;
        s.game.ground_contrast = 0.4;
        s.game.scroll_per_s = 0.1;
        s.game.whole_screen = true;
        s.game.actor = 0.3;
      },
      true));
  all.push_back(scene("50 Hz", [](Settings& s) { s.display.refresh_hz = 50; }));
  all.push_back(scene("120 Hz", [](Settings& s) { s.display.refresh_hz = 119.88; }));
  all.push_back(scene("59.94 Hz, film of 120/s", [](Settings& s) {
    s.display.refresh_hz = 59.94;
    s.camera.nominal_hz = 120;
    s.camera.readout_s = 0.006;
  }));
}

}  // namespace

std::vector<ChangeScene> change_scenes() {
  std::vector<ChangeScene> all;
  add_jumps(all);
  add_motions(all);
  add_pictures(all);
  return all;
}

const ChangeScene& change_scene(const std::vector<ChangeScene>& all, const std::string& name) {
  const auto found = std::find_if(all.begin(), all.end(),
                                  [&](const ChangeScene& each) { return each.name == name; });
  if (found == all.end()) {
    throw std::invalid_argument("no such scene: " + name);
  }
  return *found;
}

ChangeScore score_changes(const onset::Timings& timings, const rehearsal::Truth& truth) {
  ChangeScore score;
  score.presses = static_cast<int>(truth.presses.size());
  const double frames_per_s = truth.video->rate_hz;
  for (const onset::PressTiming& timing : timings.presses) {
    const auto press = std::min_element(
        truth.presses.begin(), truth.presses.end(), [&](const auto& a, const auto& b) {
          return std::abs(a.contact.recording_s - timing.press->t_s) <
                 std::abs(b.contact.recording_s - timing.press->t_s);
        });
    const bool doubtful =
        std::find(timing.flags.begin(), timing.flags.end(), onset::kDoubtful) != timing.flags.end();
    score.unseen += timing.light ? 0 : 1;
    score.flagged += timing.light && doubtful ? 1 : 0;
    if (timing.light && !doubtful) {
      const double error_s = timing.light->t_s - press->flash.value().light.recording_s;
      score.errors.push_back(error_s * frames_per_s);
      score.covered += std::abs(error_s) <= 2 * timing.light->u_s.value() ? 1 : 0;
    }
  }
  return joined({score});
}

ChangeScore joined(const std::vector<ChangeScore>& scores) {
  ChangeScore all;
  for (const ChangeScore& score : scores) {
    all.presses += score.presses;
    all.flagged += score.flagged;
    all.unseen += score.unseen;
    all.covered += score.covered;
    all.errors.insert(all.errors.end(), score.errors.begin(), score.errors.end());
  }
  all.found = static_cast<int>(all.errors.size());
  const double n = std::max(1.0, static_cast<double>(all.found));
  for (const double error : all.errors) {
    all.bias += error / n;
    all.worst = std::max(all.worst, std::abs(error));
  }
  for (const double error : all.errors) {
    all.sd += (error - all.bias) * (error - all.bias) / n;
  }
  all.sd = std::sqrt(all.sd);
  return all;
}

ChangeScore score_scene(const ChangeScene& scene, std::uint64_t seed,
                        const std::filesystem::path& folder) {
  Settings settings = scene.settings;
  settings.seed = seed;
  const rehearsal::Truth truth = rehearsal::rehearse(settings, folder);
  onset::Request request;
  request.recording = folder / truth.recording;
  request.setup = onset::read_setup(folder / "setup.json");
  return score_changes(onset::extract(request), truth);
}

}  // namespace thumblight::test
