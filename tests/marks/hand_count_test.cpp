#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "analysis/marks/merge.hpp"
#include "analysis/marks/session_marks.hpp"
#include "analysis/onset/timings_reader.hpp"
#include "tests/analysis/verb_bench.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using nlohmann::json;
namespace fs = std::filesystem;

/// The old way (common practice, no source): a person steps through the film, and notes the first
/// frame that shows the press and the first that shows the light. Here ffmpeg decodes the film and
/// averages what the person looks at, and counting is a plain loop.
namespace {

constexpr double kRate_hz = 240;
constexpr double kFrame_s = 1 / kRate_hz;
constexpr std::size_t kPresses = 12;

/// A rehearsed session, measured.
struct Rehearsed {
  explicit Rehearsed(double readout_s) {
    // A refresh that the camera's rate is no multiple of: else every light is counted with the same
    // error (the warning camera-in-step).
    const json settings = {{"camera", {{"readout_s", readout_s}}},
                           {"display", {{"refresh_hz", 59.87}}},
                           {"press", {{"gap_min_s", 0.5}, {"gap_max_s", 0.7}}}};
    test::put(folder.path() / "settings.json", settings.dump());
    session = folder.path() / "session";
    const test::Answer made = test::analyse({"rehearse", session.string(), "--settings",
                                             (folder.path() / "settings.json").string(),
                                             "--presses", std::to_string(kPresses)});
    INFO(made.err);
    REQUIRE(made.exit_code == 0);
    const test::Answer measured =
        test::analyse({"measure", session.string(), "--no-pictures", "--no-report"});
    INFO(measured.err);
    REQUIRE(measured.exit_code == 0);
  }

  json parsed(const char* name) const { return json::parse(test::get(session / name)); }

  test::TemporaryFolder folder;
  fs::path session;
};

/// Mean grey of the middle of a region in every frame.
std::vector<int> levels_of(const fs::path& film, const json& region) {
  const auto side = [&region](const char* key) { return region[key].get<double>(); };
  std::array<char, 512> command{};
  std::snprintf(command.data(), command.size(),
                "ffmpeg -v error -i '%s' -fps_mode passthrough -vf "
                "format=gray,crop=%.0f:%.0f:%.0f:%.0f,scale=1:1:flags=area "
                "-f rawvideo -pix_fmt gray -",
                film.c_str(), std::max(2.0, side("w") * 0.4), std::max(2.0, side("h") * 0.2),
                side("x") + 0.3 * side("w"), side("y") + 0.4 * side("h"));
  std::vector<int> levels;
  std::FILE* pipe = ::popen(command.data(), "r");
  REQUIRE(pipe != nullptr);
  for (int level = std::fgetc(pipe); level != EOF; level = std::fgetc(pipe)) {
    levels.push_back(level);
  }
  REQUIRE(::pclose(pipe) == 0);
  return levels;
}

/// The first frame of each brightening, as the eye sees it: a tenth of the way up in grey values,
/// after a rest of ten frames.
std::vector<int> first_frames(const std::vector<int>& levels) {
  std::vector<int> sorted = levels;
  std::sort(sorted.begin(), sorted.end());
  const int dark = sorted[sorted.size() / 4];
  const int bright = sorted[sorted.size() - 20];
  const double seen = dark + 0.1 * (bright - dark);
  std::vector<int> frames;
  int rest = 10;
  for (std::size_t k = 0; k < levels.size(); ++k) {
    if (levels[k] > seen && rest >= 10) {
      frames.push_back(static_cast<int>(k));
    }
    rest = levels[k] > seen ? 0 : rest + 1;
  }
  return frames;
}

struct Counted {
  std::vector<int> press;
  std::vector<int> light;
};

Counted count(const Rehearsed& rehearsed) {
  const json camera = rehearsed.parsed("timings.json")["recording"]["camera"];
  const fs::path film = rehearsed.session / "camera.mp4";
  return {first_frames(levels_of(film, camera["press"])),
          first_frames(levels_of(film, camera["patch"]))};
}

}  // namespace

TEST_CASE("a hand count in camera frames and extract agree within what both state") {
  // A camera that reads all rows at once: a count of frames knows nothing of rows.
  const Rehearsed rehearsed(0);
  const Counted counted = count(rehearsed);
  REQUIRE(counted.press.size() == kPresses);
  REQUIRE(counted.light.size() == kPresses);
  std::string table = "press_frame,light_frame\n";
  for (std::size_t k = 0; k < counted.press.size(); ++k) {
    table += std::to_string(counted.press[k]) + ',' + std::to_string(counted.light[k]) + '\n';
  }
  const fs::path hand = rehearsed.folder.path() / "hand.csv";
  test::put(hand, table);
  const test::Answer answer = test::analyse({"split", "--timings", hand.string(), "--capture-rate",
                                             "240", "--clock-link", "none", "--out", "-"});
  INFO(answer.err);
  REQUIRE(answer.exit_code == 0);
  const json by_hand = answer.json();
  const json by_extract = rehearsed.parsed("result.json");
  REQUIRE(by_extract["presses"].size() == kPresses);
  CHECK(by_hand["presses"][0]["press_by"] == "hand");
  CHECK(by_extract["presses"][0]["press_by"] == "tool");
  double mean_ms = 0;
  double variance_ms2 = 0;
  for (std::size_t k = 0; k < kPresses; ++k) {
    const json& hand_press = by_hand["presses"][k];
    const json& tool_press = by_extract["presses"][k];
    const double u_hand = hand_press["total_u_ms"];
    const double u_tool = tool_press["total_u_ms"];
    // A difference of two counts: triangular, standard uncertainty T / sqrt 6 (1.701 ms).
    CHECK(u_hand == Approx(1e3 * kFrame_s / std::sqrt(6.0)).epsilon(1e-5));
    const double off_ms =
        hand_press["total_ms"].get<double>() - tool_press["total_ms"].get<double>();
    CHECK(std::abs(off_ms) <= 3 * std::hypot(u_hand, u_tool));
    mean_ms += off_ms / kPresses;
    variance_ms2 += (u_hand * u_hand + u_tool * u_tool) / (kPresses * kPresses);
  }
  INFO("mean difference " << mean_ms << " ms, standard uncertainty " << std::sqrt(variance_ms2));
  CHECK(std::abs(mean_ms) <= 2 * std::sqrt(variance_ms2));
}

TEST_CASE("frames marked by hand are instants without bias, whatever shutter and rows do") {
  const Rehearsed rehearsed(0.003);
  const Counted counted = count(rehearsed);
  REQUIRE(counted.press.size() == kPresses);
  REQUIRE(counted.light.size() == kPresses);
  const onset::Timings found = onset::read_timings(rehearsed.session / "timings.json");
  marks::SessionMarks session(rehearsed.session, found);
  for (std::size_t k = 0; k < counted.press.size(); ++k) {
    const auto choose = [](int frame) {
      return marks::ChosenFrame{frame * kFrame_s, kFrame_s, frame};
    };
    session.mark(found.presses[k].index, marks::What::kPress, choose(counted.press[k]));
    session.mark(found.presses[k].index, marks::What::kLight, choose(counted.light[k]));
  }
  const onset::Timings marked = marks::with_marks(found, session.set());
  const json truth = rehearsed.parsed("truth.json");
  double press_bias_s = 0;
  double light_bias_s = 0;
  for (std::size_t k = 0; k < kPresses; ++k) {
    const json& press = truth["presses"][k];
    const double press_off_s = marked.presses[k].press->t_s - press["press_s"].get<double>();
    const double light_off_s =
        marked.presses[k].light->t_s - press["flash"]["light_s"].get<double>();
    CHECK(std::abs(press_off_s) < 0.5 * kFrame_s + 5e-4);
    CHECK(std::abs(light_off_s) < 0.5 * kFrame_s + 1e-3);
    press_bias_s += press_off_s / kPresses;
    light_bias_s += light_off_s / kPresses;
  }
  const double u_s = marks::frame_u_s(kFrame_s) / std::sqrt(double{kPresses});
  INFO(1e3 * press_bias_s << " ms and " << 1e3 * light_bias_s << " ms; u " << 1e3 * u_s);
  CHECK(std::abs(press_bias_s) < 2.5 * u_s);
  // The eye meets the light a little before it has made a tenth of its step in linear light.
  CHECK(std::abs(light_bias_s) < 2.5 * u_s + 5e-4);
}
