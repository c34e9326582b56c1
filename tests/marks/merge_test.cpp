#include "analysis/marks/merge.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>

#include "analysis/marks/frame_instant.hpp"
#include "analysis/marks/regions.hpp"
#include "analysis/timing/split.hpp"
#include "harness/session/error.hpp"
#include "tests/marks/made_marks.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::marks;
using Catch::Matchers::Contains;

namespace {

constexpr double kFrame_s = 1.0 / 240;

onset::Timings merged(const std::vector<Action>& actions,
                      const onset::Timings& found = test::found_timings()) {
  return with_marks(found, MarkSet(test::entries(actions), found));
}

bool warns(const onset::Timings& timings, const std::string& code) {
  return std::any_of(timings.warnings.begin(), timings.warnings.end(),
                     [&](const onset::Warning& warning) { return warning.code == code; });
}

}  // namespace

TEST_CASE("without marks the timings stay as they were read") {
  const onset::Timings timings = merged({});
  CHECK_FALSE(timings.by_hand);
  CHECK(timings.presses[2].press->how == "lamp");
  CHECK_FALSE(merged({DraggedRegion{"patch", {0, 0, 9, 9}}}).by_hand);
}

TEST_CASE("a marked instant takes the place of the found one, half a frame uncertain") {
  const onset::Timings timings = merged({test::mark(1, What::kPress, 2.05)});
  const onset::Instant& press = *timings.presses[1].press;
  CHECK(press.how == "mark");
  CHECK(press.passes == 1);
  CHECK(press.frame == 492);
  // Half the exposure of a frame of half its time falls together with half the frame.
  CHECK(press.t_s == Approx(2.05).margin(1e-12));
  // JCGM 100:2008, 4.3.7: a / sqrt 3 with a = T / 2, 1.2028 ms at 240 images a second.
  CHECK(*press.u_s == Approx(1.2028e-3).epsilon(1e-4));
  CHECK(timings.presses[1].light->how == "step");
  CHECK(timings.by_hand->presses == 1);
  CHECK(timings.by_hand->lights == 0);
  CHECK_FALSE(timings.by_hand->press);
}

TEST_CASE("two passes give their mean, and the worse of half a frame and what they differ by") {
  // Differences of 6, 0 and 12 frames: within-person SD sqrt(180 / 6) = 5.477 frames, 3 dof.
  const std::vector<Action> wide = {
      test::mark(0, What::kLight, 1.05), test::mark(0, What::kLight, 1.05 + 6 * kFrame_s, 2),
      test::mark(1, What::kLight, 2.05), test::mark(1, What::kLight, 2.05, 2),
      test::mark(2, What::kLight, 3.05), test::mark(2, What::kLight, 3.05 + 12 * kFrame_s, 2),
      test::mark(3, What::kLight, 4.05)};
  const onset::Timings timings = merged(wide);
  REQUIRE(timings.by_hand->light);
  const double sd_s = std::sqrt(30.0) * kFrame_s;
  CHECK(timings.by_hand->light->sd_s == Approx(sd_s));
  CHECK(timings.by_hand->light->dof == 3);
  CHECK(timings.by_hand->light->instants == 3);
  CHECK_FALSE(timings.by_hand->press);
  CHECK(timings.presses[0].light->t_s == Approx(1.05 + 3 * kFrame_s));
  CHECK(timings.presses[0].light->passes == 2);
  CHECK(*timings.presses[0].light->u_s == Approx(sd_s / std::sqrt(2.0)));
  CHECK(*timings.presses[3].light->u_s == Approx(sd_s));
  const onset::Timings close = merged(
      {test::mark(0, What::kLight, 1.05), test::mark(0, What::kLight, 1.05 + 0.1 * kFrame_s, 2)});
  CHECK(*close.presses[0].light->u_s == Approx(frame_u_s(kFrame_s)));
}

TEST_CASE("a press left out keeps what is known of it, and bears the reason") {
  const onset::Timings timings =
      merged({LeaveOut{{1, {}}, "blurred"}, LeaveOut{{2, {}}, ""}, TakeIn{{2, {}}}});
  CHECK(timings.presses[1].left_out == "blurred");
  CHECK(timings.presses[1].press);
  CHECK_FALSE(timings.presses[2].left_out);
  CHECK(timings.by_hand->left_out == 1);
  // Its marks tell nothing of the person's repeatability.
  const onset::Timings out =
      merged({test::mark(1, What::kPress, 2), test::mark(1, What::kPress, 2.2, 2),
              LeaveOut{{1, {}}, "blurred"}});
  CHECK_FALSE(out.by_hand->press);
}

TEST_CASE("an added press stands in its place in time") {
  const onset::Timings timings =
      merged({test::mark(9, What::kPress, 2.5), test::mark(9, What::kLight, 2.55)});
  REQUIRE(timings.presses.size() == 6);
  CHECK(timings.presses[2].index == 9);
  CHECK(timings.by_hand->added == 1);
  CHECK(timings.presses[2].light->how == "mark");
}

TEST_CASE("an instant that was missing is missing no more") {
  onset::Timings found = test::found_timings();
  found.presses[1].light.reset();
  found.presses[1].flags = {"no-light"};
  const onset::Timings timings = merged({test::mark(1, What::kLight, 2.06)}, found);
  CHECK(timings.presses[1].light);
  CHECK(timings.presses[1].flags.empty());
}

TEST_CASE("marks outside the recording are left out with a warning") {
  Mark far = test::mark(1, What::kPress, 2.05);
  far.frame = 1'000'000'000;
  const onset::Timings timings =
      merged({test::mark(0, What::kPress, 8.9e9), test::mark(7, What::kPress, -8.9e9), far});
  CHECK(warns(timings, "marks-beyond"));
  CHECK(timings.presses.size() == 5);
  CHECK(timings.presses[0].press->how == "lamp");
  CHECK(timings.presses[1].press->how == "lamp");
  CHECK(timings.by_hand->presses == 0);
}

TEST_CASE("marks that put presses out of order are refused, naming the press") {
  CHECK_THROWS_WITH(merged({test::mark(1, What::kLight, 4.5)}),
                    Contains("marks.jsonl") && Contains("light of press 2"));
}

TEST_CASE("an instant lies between the ends of two exposures") {
  // Drawn at random and looked at as a camera would: the first frame whose exposure ends after it.
  for (const double share : {0.2, 0.5, 1.0}) {
    onset::RecordingInfo recording = test::found_timings().recording;
    recording.camera->exposure_s = share * kFrame_s;
    const FrameOffset offset = frame_offset(recording, kFrame_s);
    double bias_s = 0;
    double squares = 0;
    constexpr int kDrawn = 1000;
    for (int k = 0; k < kDrawn; ++k) {
      const double t_s = 0.0137 * k;
      const double frame = std::ceil(t_s / kFrame_s - share);
      const double off_s = frame * kFrame_s + offset.light_s - t_s;
      CHECK(std::abs(off_s) <= kFrame_s / 2 + 1e-9);
      bias_s += off_s / kDrawn;
      squares += off_s * off_s / kDrawn;
    }
    CHECK(std::abs(bias_s) < 0.02 * kFrame_s);
    CHECK(std::sqrt(squares) == Approx(frame_u_s(kFrame_s)).epsilon(0.02));
  }
}

TEST_CASE("the rows of a rolling shutter are seen later the further down they lie") {
  onset::RecordingInfo recording = test::found_timings().recording;
  onset::CameraInfo& camera = *recording.camera;
  camera.width = 1920;
  camera.height = 1080;
  camera.readout_s = 0.003;
  camera.patch = onset::Region{0, 170, 100, 200};
  camera.press = onset::Region{1340, 710, 200, 200};
  CHECK(frame_offset(recording, kFrame_s).light_s == Approx(0.00075).margin(1e-9));
  CHECK(frame_offset(recording, kFrame_s).press_s == Approx(0.00225).margin(1e-9));
  camera.bottom_row_first = true;
  CHECK(frame_offset(recording, kFrame_s).press_s == Approx(0.00075).margin(1e-9));
  camera.bottom_row_first = false;
  camera.rotation_deg = 180;
  CHECK(frame_offset(recording, kFrame_s).press_s == Approx(0.00075).margin(1e-9));
  camera.rotation_deg = 90;
  CHECK(frame_offset(recording, kFrame_s).press_s == Approx(0.003 * 0.25).margin(1e-9));
  camera.rotation_deg = 270;
  CHECK(frame_offset(recording, kFrame_s).press_s == Approx(0.003 * 0.75).margin(1e-9));
}

TEST_CASE("an unknown exposure shifts all marks alike: it falls on what is marked on one side") {
  onset::Timings found = test::found_timings(4);
  found.recording.camera->exposure_s.reset();
  std::vector<Action> actions;
  for (int k = 0; k < 4; ++k) {
    actions.emplace_back(test::mark(k, What::kPress, 1.0 + k));
  }
  const auto shared = [](const onset::Timings& timings, const std::string& on) {
    double u_s = 0;
    for (const onset::SharedDoubt& doubt : timings.recording.shared) {
      u_s += doubt.on == on ? doubt.u_s : 0;
    }
    return u_s;
  };
  CHECK(shared(merged(actions, found), "total") == Approx(frame_u_s(kFrame_s)));
  for (int k = 0; k < 4; ++k) {
    actions.emplace_back(test::mark(k, What::kLight, 1.05 + k));
  }
  const onset::Timings both = merged(actions, found);
  CHECK(shared(both, "total") == 0);
  CHECK(shared(both, "both") == Approx(frame_u_s(kFrame_s)));
  // So the total bears no part of it, and a portion across the clocks would.
  const timing::Split split = timing::split_presses(both, nullptr, timing::ClockLinkKind::kNone);
  CHECK(split.shared[timing::Portion::kTotal].empty());
  CHECK(split.shared[timing::Portion::kDelivery].size() == 1);
}

TEST_CASE(
    "what is left out by hand is in no split, and the marks' repeatability is in those of its "
    "kind") {
  std::vector<Action> actions = {LeaveOut{{4, {}}, "blurred"}};
  for (int k = 0; k < 3; ++k) {
    actions.emplace_back(test::mark(k, What::kPress, 1.0 + k));
    actions.emplace_back(test::mark(k, What::kPress, 1.0 + k + 4 * kFrame_s, 2));
  }
  const timing::Split split =
      timing::split_presses(merged(actions), nullptr, timing::ClockLinkKind::kNone);
  CHECK(split.presses[4].left_out == "blurred");
  CHECK(split.presses[4].portions_ms[timing::Portion::kTotal]);
  CHECK(split.presses[0].press_how == "mark");
  CHECK(split.presses[0].light_how == "step");
  const auto& total = split.repeatability[timing::Portion::kTotal];
  REQUIRE(total);
  // SD of one mark sqrt(8) frames; three of four presses are the mean of two: sqrt(8 / 2 * 3 / 4).
  CHECK(total->u_ms == Approx(1e3 * std::sqrt(3.0) * kFrame_s));
  CHECK(total->dof == Approx(3));
  CHECK_FALSE(split.repeatability[timing::Portion::kScreen]);
}

TEST_CASE("a last line cut short is a warning, and regions go into the set-up") {
  const test::TemporaryFolder folder;
  {
    std::ofstream file(folder.path() / kMarksName, std::ios::binary);
    const std::string text = test::file_of(test::entries(
        {DraggedRegion{"patch", {1, 2, 3, 4}}, DraggedRegion{"press", {5, 6, 7, 8}}, Undo{1}}));
    file << text.substr(0, text.size() - 9);
  }
  const onset::Timings timings = with_marks_in(folder.path(), test::found_timings());
  CHECK(warns(timings, "marks-cut"));
  onset::Setup setup;
  setup.patch = onset::Region{9, 9, 9, 9};
  const std::map<std::string, onset::Region> dragged = {{"patch", {1, 2, 3, 4}},
                                                        {"press", {5, 6, 7, 8}}};
  CHECK(take_regions(dragged, setup) == std::vector<std::string>{"patch", "press"});
  CHECK(setup.patch->x == 1);
  CHECK(setup.finger->x == 5);
  setup.press_from = "lamp";
  take_regions(dragged, setup);
  CHECK(setup.lamp->x == 5);
}

TEST_CASE("what shifted the found instants goes with the last of them") {
  onset::Timings found = test::found_timings(2);
  found.recording.shared = {{"finger", "press", 0.002}, {"readout", "press", 0.001}};
  const onset::Timings one = merged({test::mark(0, What::kPress, 1.0)}, found);
  CHECK(one.recording.shared.size() == 2);
  const onset::Timings all =
      merged({test::mark(0, What::kPress, 1.0), test::mark(1, What::kPress, 2.0)}, found);
  REQUIRE(all.recording.shared.size() == 1);
  CHECK(all.recording.shared[0].source == "readout");
  const onset::Timings rest =
      merged({test::mark(0, What::kPress, 1.0), LeaveOut{{1, {}}, "blurred"}}, found);
  CHECK(rest.recording.shared.size() == 1);
}
