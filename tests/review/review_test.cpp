#include "analysis/review/review.hpp"

#include <catch2/catch.hpp>
#include <set>

#include "analysis/marks/again.hpp"
#include "analysis/review/words.hpp"
#include "harness/session/error.hpp"
#include "tests/review/review_bench.hpp"

using namespace thumblight;
using namespace thumblight::review;
using namespace thumblight::test;
using Catch::Matchers::Contains;

TEST_CASE("keys step, jump and stop at both ends") {
  const TemporaryFolder folder;
  Review review = review_of(made_session(folder.path(), found_presses(3), 320));
  CHECK(review.row() == 0U);
  CHECK(review.frame() == 100);
  press_all(review, "Right Right Left Shift+Right");
  CHECK(review.frame() == 111);
  press_all(review, "Down");
  CHECK(review.frame() == 200);
  CHECK(review.frames_next() == std::vector<std::int64_t>{300, 100});
  press_all(review, "Down Down Down");
  CHECK(review.row() == 2U);
  press_all(review, "Shift+Right Shift+Right Right");
  CHECK(review.frame() == 319);
  press_all(review, "Up Up Up Up");
  CHECK(review.frame() == 100);
  for (int k = 0; k < 12; ++k) {
    press_all(review, "Shift+Left");
  }
  CHECK(review.frame() == 0);
  press_all(review, "Tab");
  CHECK(review.frame() == 100);
  press_all(review, "Tab");
  CHECK(review.frame() == 108);
  CHECK_FALSE(review.press("F12"));
}

TEST_CASE("slow play goes on with time and ends with the film") {
  const TemporaryFolder folder;
  Review review = review_of(made_session(folder.path(), found_presses(1), 120));
  press_all(review, "Space");
  CHECK(review.is_playing());
  review.pass_time(0.5);
  CHECK(review.frame() == 106);
  review.pass_time(10);
  CHECK(review.frame() == 119);
  CHECK_FALSE(review.is_playing());
  press_all(review, "Space Left");
  CHECK_FALSE(review.is_playing());
}

TEST_CASE("each mark is on the disk at once, beside what was found, and is undone one by one") {
  const TemporaryFolder folder;
  const onset::Timings found = found_presses(3);
  Review review = review_of(made_session(folder.path(), found));
  press_all(review, "Right P");
  CHECK(marks_in(folder.path(), found).find(0)->press.at(1).frame == 101);
  CHECK(review.view(0).state == PressState::kByHand);
  CHECK(review.view(0).press->frame == 101);
  CHECK(review.view(0).found_press->frame == 100);
  press_all(review, "Tab Right L Down L");
  CHECK(marks_in(folder.path(), found).find(0)->light.at(1).frame == 109);
  CHECK(marks_in(folder.path(), found).find(1)->light.at(1).frame == 200);
  press_all(review, "Backspace Backspace");
  CHECK(marks_in(folder.path(), found).find(1) == nullptr);
  CHECK(marks_in(folder.path(), found).find(0)->light.empty());
  press_all(review, "Shift+Backspace");
  CHECK(marks_in(folder.path(), found).find(0)->light.at(1).frame == 109);
  press_all(review, "Backspace Backspace Backspace");
  CHECK(review.message() == "nothing to undo");
  CHECK(review.view(0).state == PressState::kFound);
  press_all(review, "Q");
  CHECK(review.has_ended());
}

TEST_CASE("a mark's band is half a frame wide on either side, and a total is of what counts") {
  const TemporaryFolder folder;
  Review review = review_of(made_session(folder.path(), found_presses(1)));
  press_all(review, "P Tab L");
  const PressView view = review.view(0);
  CHECK(*view.press->u_s == Approx(1.0 / 240 / std::sqrt(12.0)));  // JCGM 100:2008, 4.3.7
  CHECK(*view.total_s() == Approx(8.0 / 240));
  CHECK(total_words(review, view) == "33.3 ms");
  CHECK(detail_words(review)[0].known == "by hand, ± 2.4 ms");
}

TEST_CASE("presses that the tool did not find are doubtful or are added") {
  const TemporaryFolder folder;
  onset::Timings found = found_presses(2);
  found.presses[1].light.reset();
  Review review = review_of(made_session(folder.path(), found));
  CHECK(review.view(1).state == PressState::kDoubtful);
  CHECK_THAT(review.view(1).reason, Contains("light was not found"));
  review.show_frame(150);
  press_all(review, "N");
  REQUIRE(review.rows().size() == 3);
  CHECK(review.row() == 1U);  // between the two in time
  CHECK(review.view(1).press->frame == 150);
  press_all(review, "Backspace");
  CHECK(review.rows().size() == 2);
}

TEST_CASE("a light that is placed before its press is doubtful, whoever placed it") {
  const TemporaryFolder folder;
  Review review = review_of(made_session(folder.path(), found_presses(1)));
  press_all(review, "Left Left L");
  CHECK(review.view(0).state == PressState::kDoubtful);
  CHECK_THAT(reason_words(review), Contains("before its press"));
  press_all(review, "Shift+Left P");
  CHECK(review.view(0).state == PressState::kByHand);
}

TEST_CASE("where nothing was found, the first mark places the first press") {
  const TemporaryFolder folder;
  Review review = review_of(made_session(folder.path(), {}));
  CHECK_FALSE(review.row());
  press_all(review, "Down");
  CHECK_THAT(review.message(), Contains("no press yet"));
  press_all(review, "Shift+Right P Right L");
  REQUIRE(review.rows().size() == 1);
  CHECK(review.view(0).press->frame == 10);
  CHECK(review.view(0).light->frame == 11);
}

TEST_CASE("a press is left out with a reason, chosen or typed, and taken in again") {
  const TemporaryFolder folder;
  Review review = review_of(made_session(folder.path(), found_presses(2)));
  press_all(review, "X");
  CHECK(review.mode() == Mode::kReasons);
  press_all(review, "Down Return");
  CHECK(review.mode() == Mode::kLook);
  CHECK(review.view(0).state == PressState::kLeftOut);
  CHECK(review.view(0).reason == review.reasons()[1]);
  press_all(review, "X");
  CHECK(review.view(0).state == PressState::kFound);
  press_all(review, "Down X");
  review.type("a häir");
  press_all(review, "Backspace");
  CHECK(review.typed() == "a häi");
  press_all(review, "Backspace Backspace");
  review.type("and");
  press_all(review, "Return");
  CHECK(review.view(1).reason == "a hand");
  press_all(review, "X X Escape");
  CHECK(review.view(1).state == PressState::kFound);
  press_all(review, "X Up Return");  // the line for typing, empty
  CHECK(review.mode() == Mode::kReasons);
}

TEST_CASE("regions are moved and sized by keys, and saved when the key is let go") {
  const TemporaryFolder folder;
  const onset::Timings found = found_presses(1);
  Review review = review_of(made_session(folder.path(), found));
  press_all(review, "R Right");
  CHECK(marks_in(folder.path(), found).regions().at("patch").x == 101);
  review.press("Shift+Ctrl+Down");
  review.press("Shift+Ctrl+Down", true);
  CHECK(marks_in(folder.path(), found).regions().at("patch").h == 30);
  review.let_go();
  CHECK(marks_in(folder.path(), found).regions().at("patch").h == 50);
  press_all(review, "R Left");
  CHECK(marks_in(folder.path(), found).regions().count("press") == 1);
  press_all(review, "Backspace Backspace Backspace Return");
  CHECK(marks_in(folder.path(), found).regions().empty());
  CHECK(review.region(RegionKind::kLight)->x == 100);
  CHECK(review.mode() == Mode::kLook);
}

TEST_CASE("regions are dragged by the mouse, by their sides or whole, and drawn anew") {
  const TemporaryFolder folder;
  const onset::Timings found = found_presses(1);
  Review review = review_of(made_session(folder.path(), found));
  REQUIRE(review.take_region({120, 65}, 5));
  review.move_region({130, 60});
  review.drop_region();
  CHECK(review.region(RegionKind::kLight)->x == 110);
  CHECK(review.region(RegionKind::kLight)->y == 45);
  REQUIRE(review.take_region({150, 60}, 5));  // its right side
  review.move_region({170, 60});
  review.drop_region();
  CHECK(review.region(RegionKind::kLight)->w == 60);
  CHECK_FALSE(review.take_region({500, 300}, 5));
  press_all(review, "R R");
  REQUIRE(review.take_region({500, 300}, 5));
  review.move_region({550, 350});
  review.drop_region();
  const onset::Region press = *review.region(RegionKind::kPress);
  CHECK(press.x == 500);
  CHECK(press.w == 50);
  REQUIRE(review.take_region({525, 325}, 5));
  review.drop_region();  // a click alone moves nothing and says nothing
  CHECK(review.region(RegionKind::kPress)->x == 500);
}

TEST_CASE("every key and button means one thing in each mode, and everything is on the help page") {
  for (const Mode mode : {Mode::kLook, Mode::kRegions, Mode::kReasons, Mode::kHelp}) {
    std::set<std::string> chords;
    for (const Binding& binding : bindings(mode)) {
      std::string rest = binding.chords;
      while (!rest.empty()) {
        const std::size_t bar = std::min(rest.find('|'), rest.size());
        INFO(rest.substr(0, bar));
        CHECK(chords.insert(rest.substr(0, bar)).second);
        rest.erase(0, bar + 1);
      }
    }
    CHECK(chords.size() > 4);
  }
}

TEST_CASE("a controller alone is enough: what has no button is chosen on the help page") {
  const TemporaryFolder folder;
  Review review = review_of(made_session(folder.path(), found_presses(2)));
  for (const char* button : {"pad right", "pad A", "pad down", "pad B", "pad X", "pad A"}) {
    CHECK(review.press(button));
  }
  CHECK(review.uses_pad());
  CHECK(review.view(0).press->frame == 101);
  CHECK(review.view(1).state == PressState::kLeftOut);
  CHECK(review.press("pad start"));
  CHECK(review.press("pad up"));  // the last line
  CHECK(review.press("pad A"));
  CHECK(review.has_ended());
}

TEST_CASE("looking again hides all that is known and marks another pass") {
  const TemporaryFolder folder;
  const onset::Timings found = found_presses(3);
  {
    Review first = review_of(made_session(folder.path(), found));
    press_all(first, "P Down P");
  }
  auto session = made_session(folder.path(), found);
  const marks::Again again = marks::look_again(session->marks.set());
  session->pass = again.pass;
  session->hides_rest = true;
  session->wanted = again.presses;
  Review second = review_of(std::move(session), {true, false, 9});
  REQUIRE(second.rows().size() == 2);
  CHECK(second.view(0).state == PressState::kUnseen);
  CHECK_FALSE(second.view(0).press);
  CHECK_FALSE(second.view(0).found_press);
  CHECK(second.frame() < 100);
  CHECK(second.frame() >= 100 - 20);
  second.show_frame(99);
  press_all(second, "P");
  CHECK(second.view(0).state == PressState::kByHand);
  const marks::MarkSet set = marks_in(folder.path(), found);
  CHECK(set.find(0)->press.at(1).frame == 100);
  CHECK(set.find(0)->press.at(2).frame == 99);
}

TEST_CASE("a blind look mixes the sessions, names none of them and marks the right one") {
  const TemporaryFolder folder;
  const std::vector<std::string> names = {"wired-heron", "wireless-plover"};
  std::vector<std::unique_ptr<ReviewedSession>> sessions;
  for (const std::string& name : names) {
    sessions.push_back(made_session(folder.path() / name, found_presses(6)));
  }
  Review review(std::move(sessions), {false, true, 4});
  REQUIRE(review.rows().size() == 12);
  std::string said;
  int changes = 0;
  for (std::size_t row = 0; row < review.rows().size(); ++row) {
    review.show_row(row);
    changes += row > 0 && review.rows()[row].session != review.rows()[row - 1].session ? 1 : 0;
    said += window_name(review) + title_words(review) + place_words(review) +
            total_words(review, review.view(row));
  }
  CHECK(changes >= 3);
  CHECK_THAT(said, Contains("press 12 of 12") && !Contains("heron") && !Contains("plover") &&
                       !Contains("ms"));
  review.show_row(5);
  const PressRow marked = review.rows()[5];
  press_all(review, "P");
  CHECK(marks_in(folder.path() / names[marked.session], found_presses(6)).find(marked.index));
  CHECK_FALSE(std::filesystem::exists(folder.path() / names[1 - marked.session] / "marks.jsonl"));
  CHECK(review.rows()[5] == marked);
  // The last action is undone wherever it was made.
  review.show_row(review.rows()[4].session == marked.session ? 4 : 6);
  for (std::size_t row = 0; row < 12; ++row) {
    if (review.rows()[row].session != marked.session) {
      review.show_row(row);
    }
  }
  press_all(review, "Backspace");
  CHECK(marks_in(folder.path() / names[marked.session], found_presses(6)).presses().empty());
}
