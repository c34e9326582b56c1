#include "analysis/commands/progress_line.hpp"

#include <catch2/catch.hpp>
#include <sstream>

using namespace thumblight::commands;

TEST_CASE("progress tells count, share and time left") {
  CHECK(progress_text("reading a.mp4", 1200, 4800.0, 3) ==
        "reading a.mp4: 1200 of 4800, 25 %, 9 s left");
  CHECK(progress_text("reading a.mp4", 1200, std::nullopt, 3) == "reading a.mp4: 1200");
  CHECK(progress_text("reading a.mp4", 0, 10.0, 3) == "reading a.mp4: 0 of 10, 0 %");
  // A file may hold more frames than it promised.
  CHECK(progress_text("reading a.mp4", 12, 10.0, 3) == "reading a.mp4: 12 of 12, 100 %, 0 s left");
}

TEST_CASE("progress is silent where it is not wanted") {
  std::ostringstream terminal;
  {
    ProgressLine line(terminal, false, "reading");
    line.tell(1, 2.0);
  }
  CHECK(terminal.str().empty());
}
