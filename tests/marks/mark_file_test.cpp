#include "analysis/marks/mark_file.hpp"

#include <signal.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <fstream>

#include "analysis/marks/marks_reader.hpp"
#include "analysis/marks/session_marks.hpp"
#include "harness/session/error.hpp"
#include "tests/marks/made_marks.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::marks;
using Catch::Matchers::Contains;
namespace fs = std::filesystem;

namespace {

/// Runs `work` in a process of its own and gives its exit code; -1 where a signal ended it.
template <typename Work>
int in_child(Work work) {
  const pid_t child = ::fork();
  if (child == 0) {
    ::_exit(work());
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

}  // namespace

TEST_CASE("the file is made with the first mark, and goes on where it was") {
  const test::TemporaryFolder folder;
  const fs::path file = folder.path() / kMarksName;
  {
    MarkFile marks(folder.path());
    CHECK_FALSE(fs::exists(file));
    CHECK(marks.append(test::mark(0, What::kPress, 1)).id == 1);
  }
  {
    MarkFile marks(folder.path());
    REQUIRE(marks.entries().size() == 1);
    CHECK_FALSE(marks.was_cut());
    CHECK(marks.append(Undo{1}).id == 2);
  }
  const MarkLog log = read_marks(file);
  REQUIRE(log.entries.size() == 2);
  CHECK(log.entries[0].made_utc.size() == std::string("2026-03-01T18:00:00.000Z").size());
}

TEST_CASE("a line that was cut short is cut off with the next mark; a whole one is kept") {
  const test::TemporaryFolder folder;
  const fs::path file = folder.path() / kMarksName;
  const std::string whole = test::file_of(
      test::entries({test::mark(0, What::kPress, 1), test::mark(0, What::kLight, 1.05)}));
  for (std::size_t length = 1; length <= whole.size(); ++length) {
    INFO(length);
    { std::ofstream(file, std::ios::binary | std::ios::trunc) << whole.substr(0, length); }
    const MarkLog before = read_marks(file);
    {
      MarkFile marks(folder.path());
      CHECK(marks.was_cut() == before.cut);
      marks.append(test::mark(7, What::kPress, 8));
    }
    const MarkLog after = read_marks(file);
    CHECK_FALSE(after.cut);
    REQUIRE(after.entries.size() == before.entries.size() + 1);
    CHECK(std::get<Mark>(after.entries.back().action).at.index == 7);
  }
}

TEST_CASE("a kill loses no mark that was made") {
  const test::TemporaryFolder folder;
  for (int round = 0; round < 8; ++round) {
    int made[2];
    REQUIRE(::pipe(made) == 0);
    const pid_t child = ::fork();
    if (child == 0) {
      MarkFile marks(folder.path());
      for (std::int64_t k = 0;; ++k) {
        marks.append(test::mark(k, What::kPress, 1));
        if (::write(made[1], "x", 1) != 1) {
          ::_exit(1);
        }
      }
    }
    ::close(made[1]);
    // Killed at once after so many marks were told of, wherever it then is.
    const int wanted = 3 + 7 * round;
    char one = 0;
    int told = 0;
    while (told < wanted && ::read(made[0], &one, 1) == 1) {
      ++told;
    }
    ::kill(child, SIGKILL);
    ::waitpid(child, nullptr, 0);
    while (::read(made[0], &one, 1) == 1) {
      ++told;
    }
    ::close(made[0]);
    const MarkFile after(folder.path());
    CHECK(told >= wanted);
    CHECK(after.entries().size() >= static_cast<std::size_t>(told));
    CHECK(after.entries().size() <= static_cast<std::size_t>(told) + 1);
    fs::remove(folder.path() / kMarksName);
  }
}

TEST_CASE("two programs cannot mark the same session at once") {
  const test::TemporaryFolder folder;
  MarkFile first(folder.path());
  first.append(test::mark(0, What::kPress, 1));
  CHECK_THROWS_WITH(MarkFile(folder.path()), Contains("another program"));
  const test::TemporaryFolder other;
  MarkFile a(other.path());
  MarkFile b(other.path());
  a.append(test::mark(0, What::kPress, 1));
  CHECK_THROWS_AS(b.append(test::mark(1, What::kPress, 2)), Error);
  CHECK(read_marks(other.path() / kMarksName).entries.size() == 1);
}

TEST_CASE("a mark that the disk has no room for is refused, and the next one is whole") {
  const test::TemporaryFolder folder;
  const fs::path file = folder.path() / kMarksName;
  const int exit_code = in_child([&] {
    ::signal(SIGXFSZ, SIG_IGN);
    MarkFile marks(folder.path());
    marks.append(test::mark(0, What::kPress, 1));
    const rlimit little{fs::file_size(file) + 40, RLIM_INFINITY};
    ::setrlimit(RLIMIT_FSIZE, &little);
    try {
      marks.append(test::mark(1, What::kPress, 2));
      return 1;
    } catch (const Error&) {
    }
    if (marks.entries().size() != 1) {
      return 2;
    }
    const rlimit enough{RLIM_INFINITY, RLIM_INFINITY};
    ::setrlimit(RLIMIT_FSIZE, &enough);
    marks.append(test::mark(2, What::kPress, 3));
    return 0;
  });
  CHECK(exit_code == 0);
  const MarkLog log = read_marks(file);
  REQUIRE(log.entries.size() == 2);
  CHECK(std::get<Mark>(log.entries[1].action).at.index == 2);
}

TEST_CASE("a folder that is none is told") {
  CHECK_THROWS_WITH(MarkFile("/nowhere/at/all"), Contains("is no folder"));
}

TEST_CASE("marks of a session come back as they were left, undone and done again") {
  const test::TemporaryFolder folder;
  const onset::Timings found = test::found_timings();
  std::int64_t added = 0;
  {
    SessionMarks session(folder.path(), found);
    session.mark(0, What::kPress, {1.01, 1.0 / 240, 242});
    session.mark(0, What::kLight, {1.06, 1.0 / 240, 254});
    session.leave_out(2, "blurred");
    added = session.add_press(What::kPress, {2.5, 1.0 / 240, 600});
    session.mark(added, What::kLight, {2.55, 1.0 / 240, 612});
    session.drag_region("patch", {1, 2, 30, 40});
    CHECK(session.undo());
    CHECK(session.undo());
    CHECK(session.redo());
  }
  const SessionMarks again(folder.path(), found);
  CHECK(again.set().regions().empty());
  CHECK(again.set().presses().size() == 3);
  CHECK(again.set().find(0)->press.at(1).frame == 242);
  CHECK(again.set().find(2)->left_out == "blurred");
  REQUIRE(again.set().find(added) != nullptr);
  CHECK(again.set().find(added)->added);
  CHECK(again.set().find(added)->light.size() == 1);
  CHECK(added == 5);
  CHECK(again.set().strays() == 0);
}

TEST_CASE("a press added where one lies already is that one") {
  const test::TemporaryFolder folder;
  SessionMarks session(folder.path(), test::found_timings());
  CHECK(session.add_press(What::kLight, {3.06, 1.0 / 240, 734}) == 2);
  CHECK(session.set().presses().size() == 1);
}
