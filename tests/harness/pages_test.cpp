#include <catch2/catch.hpp>

#include "harness/pages/font.hpp"
#include "harness/pages/layout.hpp"
#include "harness/pages/screens.hpp"
#include "harness/run/patch_place.hpp"
#include "harness/session/error.hpp"

using namespace thumblight::harness;
using Catch::Matchers::Contains;

namespace {

const Size kSizes[] = {{640, 480}, {1280, 720}, {1920, 1080}, {3840, 2160}, {320, 240}, {480, 800}};

bool on_screen(const Rect& r, const Size& screen) {
  return r.x >= 0 && r.y >= 0 && r.x + r.w <= screen.w && r.y + r.h <= screen.h;
}

/// Nothing overlaps, nothing is cut.
void check_tidy(const Page& page, const Size& screen) {
  CAPTURE(screen.w, screen.h);
  REQUIRE_FALSE(page.lines.empty());
  for (std::size_t i = 0; i < page.lines.size(); ++i) {
    CAPTURE(page.lines[i].text);
    // The gap behind the last character may stand over.
    Rect place = bounds(page.lines[i]);
    place.w -= page.lines[i].scale;
    CHECK(on_screen(place, screen));
    for (std::size_t j = 0; j < i; ++j) {
      CHECK_FALSE(overlap(place, bounds(page.lines[j])));
    }
  }
}

std::string words_of(const Page& page) {
  std::string text;
  for (const TextLine& line : page.lines) {
    text += line.text + ' ';
  }
  return text;
}

RunSummary summary() {
  RunSummary summary;
  summary.presses = 43;
  summary.flashed = 40;
  summary.render_median_ms = 0.31;
  summary.render_min_ms = 0.22;
  summary.render_max_ms = 1.74;
  summary.missed_frames = 3;
  summary.reason = "completed";
  summary.folder = "evenings/living-room/wired-pad-on-the-old-television-second-try";
  return summary;
}

}  // namespace

TEST_CASE("every page fits on every screen") {
  for (const Size& size : kSizes) {
    check_tidy(caution_page(size), size);
    check_tidy(learn_page(size), size);
    check_tidy(paused_page(size, "A controller with a name of forty letters"), size);
    check_tidy(end_page(size, summary()), size);
  }
}

TEST_CASE("the caution says what it must, whole, on every screen") {
  for (const Size& size : kSizes) {
    const std::string text = words_of(caution_page(size));
    CHECK_THAT(text, Contains("Flashing can set off a seizure") &&
                         Contains("photosensitive epilepsy") && Contains("first discomfort") &&
                         Contains("any key or button ends the flashing") &&
                         Contains("hold any key or button for one second") && Contains("To leave"));
  }
}

TEST_CASE("what stands beside the patch keeps clear of it, wherever it is") {
  const RunStatus status{17, 40, "leftshoulder", false};
  for (const Size& size : kSizes) {
    for (const char* place : {"centre", "top", "bottom", "left", "right", "top-left", "top-right",
                              "bottom-left", "bottom-right"}) {
      for (const double percent : {5.0, 30.0, 100.0}) {
        const Rect patch = place_patch(size, place, percent);
        const Page page = armed_page(size, patch, status);
        CAPTURE(place, percent);
        check_tidy(page, size);
        check_tidy(wait_page(size, patch), size);
        for (const TextLine& line : wait_page(size, patch).lines) {
          CHECK_FALSE(overlap(bounds(line), patch));
        }
        for (const TextLine& line : page.lines) {
          CHECK_FALSE(overlap(bounds(line), patch));
        }
        for (const Box& box : page.boxes) {
          CHECK_FALSE(overlap(box.place, patch));
        }
        CHECK_THAT(words_of(page), Contains("17 of 40 presses") && Contains("To end:"));
      }
    }
  }
}

TEST_CASE("the count is in the singular for one press") {
  const Rect patch = place_patch({1280, 720}, "centre", 30);
  CHECK_THAT(words_of(armed_page({1280, 720}, patch, {1, 0, "Space", true})),
             Contains("1 press ") && Contains("any other key"));
  CHECK_THAT(words_of(armed_page({1280, 720}, patch, {0, 0, "Space", true})),
             Contains("0 presses "));
}

TEST_CASE("the summary says what is not known") {
  RunSummary nothing;
  nothing.reason = "stopped";
  nothing.folder = "evening-1";
  CHECK_THAT(summary_text(nothing), Contains("0 presses measured") && Contains("no press") &&
                                        Contains("not counted") && Contains("evening-1"));
  CHECK_THAT(summary_text(summary()), Contains("40 presses measured, 3 more came too soon") &&
                                          Contains("0.31 ms in the median") &&
                                          Contains("0.22 ms to 1.74 ms") &&
                                          Contains("Missed frames: 3"));
}

TEST_CASE("the patch is where it was asked for and never more than a quarter of the screen") {
  const Size screen{1920, 1080};
  CHECK(place_patch(screen, "centre", 50) == Rect{480, 270, 960, 540});
  CHECK(place_patch(screen, "top-left", 10) == Rect{0, 0, 192, 108});
  CHECK(place_patch(screen, "bottom-right", 10) == Rect{1728, 972, 192, 108});
  CHECK(place_patch(screen, "right", 10) == Rect{1728, 486, 192, 108});
  CHECK(place_patch(screen, "100,200,300,400", 30) == Rect{100, 200, 300, 400});
  for (const char* place :
       {"centre", "top", "left", "bottom-right", "0,0,1920,1080", "-500,-500,4000,4000",
        "0,0,1920,500", "1900,1000,500,500", "2147483647,0,2147483647,5"}) {
    for (const Size& size : kSizes) {
      const Rect patch = place_patch(size, place, 100);
      CAPTURE(place, size.w, size.h);
      CHECK(on_screen(patch, size));
      CHECK(patch.w > 0);
      CHECK(patch.h > 0);
      CHECK(4L * patch.w * patch.h <= static_cast<long>(size.w) * size.h);
    }
  }
  CHECK_THROWS_WITH(place_patch(screen, "middle", 30), Contains("no such place"));
  CHECK_THROWS_WITH(place_patch(screen, "1,2,3", 30), Contains("no such place"));
  CHECK_THROWS_WITH(place_patch(screen, "1,2,0,4", 30), Contains("no such place"));
}

TEST_CASE("every printable character has a drawing of its own") {
  std::vector<std::string> drawings;
  for (char c = '!'; c <= '~'; ++c) {
    std::string drawing;
    for (int row = 0; row < kGlyphHeight; ++row) {
      for (int column = 0; column < kGlyphWidth; ++column) {
        drawing += has_dot(c, column, row) ? '#' : '.';
      }
    }
    CAPTURE(c, drawing);
    CHECK(drawing.find('#') != std::string::npos);
    CHECK(std::find(drawings.begin(), drawings.end(), drawing) == drawings.end());
    drawings.push_back(drawing);
  }
}

TEST_CASE("names from outside are drawn without harm") {
  CHECK(drawable("Pad") == "Pad");
  CHECK(drawable("H\xC3\xB6rnchen") == "H?rnchen");
  CHECK(drawable("\xF0\x9F\x8E\xAE!") == "?!");
  CHECK(drawable("a\nb\x1b[2J") == "a?b?[2J");
  CHECK(wrap("one two three", 7) == std::vector<std::string>{"one two", "three"});
  CHECK(wrap("abcdefghij", 4) == std::vector<std::string>{"abcd", "efgh", "ij"});
  CHECK(wrap("", 4) == std::vector<std::string>{""});
}
