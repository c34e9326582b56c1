#include "analysis/marks/mark_set.hpp"

#include <catch2/catch.hpp>
#include <random>

#include "analysis/marks/again.hpp"
#include "tests/marks/made_marks.hpp"

using namespace thumblight;
using namespace thumblight::marks;

namespace {

MarkSet set_of(const std::vector<Action>& actions, const onset::Timings& found) {
  return {test::entries(actions), found};
}

/// Where each press stands in one line, to compare whole states.
std::string state_of(const MarkSet& set) {
  std::string text;
  for (const auto& [index, press] : set.presses()) {
    if (!press.has_marks() && !press.left_out) {
      continue;
    }
    text += std::to_string(index) + ":";
    for (const What what : {What::kPress, What::kLight}) {
      for (const auto& [pass, mark] : press.of(what)) {
        text +=
            std::string(name(what)) + std::to_string(pass) + "@" + std::to_string(mark.t_s) + " ";
      }
    }
    text += press.left_out.value_or("") + ";";
  }
  return text;
}

}  // namespace

TEST_CASE("the last mark of a pass counts, and says where it was") {
  const onset::Timings found = test::found_timings();
  const MarkSet set = set_of({test::mark(1, What::kPress, 2.01), test::mark(1, What::kPress, 2.02),
                              test::mark(1, What::kPress, 2.04, 2)},
                             found);
  REQUIRE(set.find(1) != nullptr);
  CHECK(set.find(1)->press.at(1).t_s == 2.02);
  CHECK(set.find(1)->press.at(2).t_s == 2.04);
  CHECK(set.last_pass() == 2);
  CHECK(set.find(0) == nullptr);
  CHECK(set.reference(1, 9).near_s == 2.0);
  CHECK(set.free_index() == 5);
}

TEST_CASE("a first mark made anew with all in view replaces the passes after it") {
  const onset::Timings found = test::found_timings();
  const MarkSet set =
      set_of({test::mark(1, What::kPress, 2.01), test::mark(1, What::kPress, 2.04, 2),
              test::mark(1, What::kPress, 2.03)},
             found);
  CHECK(set.find(1)->press.size() == 1);
  CHECK(set.last_pass() == 1);
}

TEST_CASE("undo and redo agree with a plain stack, whatever is done") {
  const onset::Timings found = test::found_timings();
  std::mt19937 random(5);
  for (int round = 0; round < 40; ++round) {
    std::vector<Entry> list;
    // The plain way: actions done and undone on two stacks.
    std::vector<Action> done;
    std::vector<Action> undone;
    const auto add = [&list](Action action) {
      list.push_back({static_cast<std::int64_t>(list.size()) + 1, "", std::move(action)});
    };
    for (int step = 0; step < 40; ++step) {
      const MarkSet before(list, found);
      const auto what = static_cast<int>(random() % 6);
      if (what < 2) {
        REQUIRE(before.undo_target().has_value() == !done.empty());
        if (before.undo_target()) {
          add(Undo{*before.undo_target()});
          undone.push_back(done.back());
          done.pop_back();
        }
      } else if (what == 2) {
        REQUIRE(before.redo_target().has_value() == !undone.empty());
        if (before.redo_target()) {
          add(Undo{*before.redo_target()});
          done.push_back(undone.back());
          undone.pop_back();
        }
      } else {
        const auto index = static_cast<std::int64_t>(random() % 5);
        const Action action =
            what == 3   ? Action(LeaveOut{{index, {}}, "why " + std::to_string(step)})
            : what == 4 ? Action(test::mark(index, What::kPress,
                                            static_cast<double>(index) + 1 + step * 1e-3))
                        : Action(TakeIn{{index, {}}});
        add(action);
        done.push_back(action);
        undone.clear();
      }
      CHECK(state_of(MarkSet(list, found)) == state_of(MarkSet(test::entries(done), found)));
    }
  }
}

TEST_CASE("marks find their press again after the recording was read anew") {
  onset::Timings before = test::found_timings();
  std::vector<Action> actions;
  Mark mark = test::mark(2, What::kPress, 3.004);
  mark.at = set_of({}, before).reference(2, 3.004);
  actions.emplace_back(mark);
  actions.emplace_back(LeaveOut{set_of({}, before).reference(4, 0), "blurred"});
  Mark added = test::mark(5, What::kPress, 2.5);
  added.at.near_s = 2.5;
  actions.emplace_back(added);

  // One press more is found at the beginning, so all indices move by one.
  onset::Timings after = test::found_timings(5);
  for (onset::PressTiming& press : after.presses) {
    ++press.index;
  }
  after.presses.insert(after.presses.begin(), onset::PressTiming{});
  after.presses.front().press = test::instant(0.4, "lamp");
  const MarkSet set = set_of(actions, after);
  REQUIRE(set.find(3) != nullptr);
  CHECK(set.find(3)->press.at(1).t_s == 3.004);
  REQUIRE(set.find(5) != nullptr);
  CHECK(set.find(5)->left_out == "blurred");
  REQUIRE(set.find(6) != nullptr);
  CHECK(set.find(6)->added);
  CHECK(set.strays() == 0);

  // And where nothing is found there any more, the mark stands by itself.
  onset::Timings none;
  const MarkSet alone = set_of(actions, none);
  CHECK(alone.find(2)->added);
  CHECK(alone.strays() == 2);
}

TEST_CASE("marks without a place go by their index") {
  const onset::Timings found = test::found_timings();
  const MarkSet set = set_of({test::mark(3, What::kLight, 4.07), test::mark(9, What::kPress, 5.5),
                              LeaveOut{{9, {}}, ""}, LeaveOut{{77, {}}, "no such press"}},
                             found);
  CHECK_FALSE(set.find(3)->added);
  CHECK(set.find(9)->added);
  CHECK(set.find(9)->left_out.has_value());
  CHECK(set.find(77) == nullptr);
  CHECK(set.strays() == 1);
}

TEST_CASE("the largest index does no harm") {
  const onset::Timings found = test::found_timings();
  const MarkSet set = set_of({test::mark(kLargestIndex, What::kPress, 5.5)}, found);
  CHECK(set.find(kLargestIndex)->added);
  CHECK(set.free_index() == kLargestIndex + 1);
}

TEST_CASE(
    "a further look shows what was marked, hides the earlier marks and goes on where it was") {
  const onset::Timings found = test::found_timings();
  CHECK(look_again(set_of({}, found)).presses.empty());
  std::vector<Action> actions = {test::mark(0, What::kPress, 1.0),
                                 test::mark(0, What::kLight, 1.05),
                                 test::mark(1, What::kLight, 2.05),
                                 test::mark(3, What::kPress, 4.0), LeaveOut{{3, {}}, "blurred"}};
  Again again = look_again(set_of(actions, found));
  CHECK(again.pass == 2);
  CHECK(again.presses == std::vector<std::int64_t>{0, 1});
  actions.emplace_back(test::mark(0, What::kPress, 1.01, 2));
  again = look_again(set_of(actions, found));
  CHECK(again.pass == 2);
  CHECK(again.presses == std::vector<std::int64_t>{0, 1});
  const PressMarks shown = as_seen_in(2, *set_of(actions, found).find(0));
  CHECK(shown.press.size() == 1);
  CHECK(shown.press.contains(2));
  CHECK(shown.light.empty());
  CHECK(as_seen_in(1, *set_of(actions, found).find(0)).press.size() == 2);
  actions.emplace_back(test::mark(0, What::kLight, 1.06, 2));
  CHECK(look_again(set_of(actions, found)).presses == std::vector<std::int64_t>{1});
  actions.emplace_back(test::mark(1, What::kLight, 2.06, 2));
  again = look_again(set_of(actions, found));
  CHECK(again.pass == 3);
  CHECK(again.presses == std::vector<std::int64_t>{0, 1});
}

TEST_CASE("tens of thousands of presses and marks are no burden") {
  const onset::Timings found = test::found_timings(20'000);
  std::vector<Action> actions;
  for (int k = 0; k < 20'000; ++k) {
    Mark mark = test::mark(k, What::kPress, 1.0 + k);
    mark.at.near_s = 1.0 + k;
    actions.emplace_back(mark);
    Mark added = test::mark(1'000'000 + k, What::kLight, 1.5 + k);
    added.at.near_s = added.t_s;
    actions.emplace_back(added);
  }
  const MarkSet set = set_of(actions, found);
  CHECK(set.presses().size() == 40'000);
  CHECK(set.strays() == 0);
}
