#include "harness/pages/screens.hpp"

#include <algorithm>
#include <cstdio>
#include <vector>

#include "harness/pages/layout.hpp"

namespace thumblight::harness {
namespace {

constexpr int kBright = 235;
constexpr int kPlain = 190;
constexpr int kQuiet = 120;
constexpr int kOutline = 56;

Rect inner(const Size& screen) {
  const int margin = std::min(screen.w, screen.h) / 16;
  return {margin, margin, screen.w - 2 * margin, screen.h - 2 * margin};
}

Page text_page(const Size& screen, const std::vector<Paragraph>& paragraphs, int scale) {
  return {{}, lay_out(paragraphs, inner(screen), scale)};
}

/// A thin frame just outside the patch, so that a camera can be aimed while the patch is dark.
std::vector<Box> outline(const Rect& patch) {
  const int t = std::max(2, std::min(patch.w, patch.h) / 100);
  return {{{patch.x - t, patch.y - t, patch.w + 2 * t, t}, kOutline},
          {{patch.x - t, patch.y + patch.h, patch.w + 2 * t, t}, kOutline},
          {{patch.x - t, patch.y, t, patch.h}, kOutline},
          {{patch.x + patch.w, patch.y, t, patch.h}, kOutline}};
}

Rect band_beside(const Size& screen, const Rect& patch) {
  return widest_free_band(screen, patch, std::min(screen.w, screen.h) / 24);
}

std::string count_text(const RunStatus& status) {
  const std::string count = std::to_string(status.flashed);
  return status.wanted > 0 ? count + " of " + std::to_string(status.wanted) + " presses"
                           : count + (status.flashed == 1 ? " press" : " presses");
}

std::string milliseconds(double value_ms) {
  char text[32];
  std::snprintf(text, sizeof text, "%.2f ms", value_ms);
  return text;
}

std::string presses_text(const RunSummary& summary) {
  const std::int64_t withheld = summary.presses - summary.flashed;
  std::string text = std::to_string(summary.flashed) +
                     (summary.flashed == 1 ? " press" : " presses") + " measured";
  return withheld == 0 ? text
                       : text + ", " + std::to_string(withheld) + " more came too soon to flash";
}

std::string render_text(const RunSummary& summary) {
  if (!summary.render_median_ms) {
    return "Arrival to frame: no press, nothing to tell";
  }
  return "Arrival to frame: " + milliseconds(*summary.render_median_ms) + " in the median, " +
         milliseconds(*summary.render_min_ms) + " to " + milliseconds(*summary.render_max_ms);
}

std::string missed_text(const RunSummary& summary) {
  return "Missed frames: " + (summary.missed_frames ? std::to_string(*summary.missed_frames)
                                                    : "not counted in this pacing");
}

std::string lamp_text(const RunSummary& summary) {
  return "Lamp: " + std::to_string(summary.lamp_failures) +
         (summary.lamp_failures == 1 ? " switch" : " switches") + " failed, not in the log";
}

std::string reason_text(const std::string& reason) {
  if (reason == "completed") {
    return "All presses are in";
  }
  if (reason == "failed") {
    return "The run broke off";
  }
  return "The run was ended";
}

}  // namespace

Page caution_page(const Size& screen) {
  return text_page(
      screen,
      {{"Caution: flashing light", 2, kBright},
       {"A patch of this screen will flash, up to three times a second. Flashing can set off a "
        "seizure in people with photosensitive epilepsy, known or not.",
        1, kPlain},
       {"Do not go on if you or anybody who can see this screen is photosensitive. Stop at the "
        "first discomfort: any key or button ends the flashing at once.",
        1, kPlain},
       {"To go on: hold any key or button for one second.", 1, kBright},
       {"To leave: press it briefly.", 1, kBright}},
      ordinary_scale(screen));
}

Page learn_page(const Size& screen) {
  return text_page(screen,
                   {{"Press the control to be tested", 2, kBright},
                    {"A key, a mouse button, a button of a controller, a trigger or stick pushed "
                     "past half its way, or the screen itself: whatever is pressed first.",
                     1, kPlain},
                    {"Escape leaves.", 1, kQuiet}},
                   ordinary_scale(screen));
}

Page wait_page(const Size& screen, const Rect& patch) {
  return {outline(patch), lay_out({{"One moment, do not press yet.", 1, kBright}},
                                  band_beside(screen, patch), ordinary_scale(screen))};
}

Page armed_page(const Size& screen, const Rect& patch, const RunStatus& status) {
  const int ordinary = ordinary_scale(screen);
  const int scale = ordinary > 2 ? ordinary * 2 / 3 : ordinary;
  const std::string others = status.is_key ? "any other key" : "any key or another button";
  const std::vector<Paragraph> paragraphs = {
      {count_text(status), 2, kPlain},
      {"To end: " + others + ", or hold " + status.control + " for three seconds.", 1, kQuiet},
      {"Press " + status.control + " at uneven moments.", 1, kQuiet}};
  return {outline(patch), lay_out(paragraphs, band_beside(screen, patch), scale)};
}

Page paused_page(const Size& screen, const std::string& device) {
  return text_page(
      screen,
      {{"Unplugged", 2, kBright},
       {device + " is gone. Plug it in or switch it on again, and the run goes on.", 1, kPlain},
       {"Any key ends the run.", 1, kQuiet}},
      ordinary_scale(screen));
}

Page end_page(const Size& screen, const RunSummary& summary) {
  std::vector<Paragraph> paragraphs = {
      {reason_text(summary.reason), 2, kBright}, {presses_text(summary), 1, kBright},
      {render_text(summary), 1, kPlain},         {missed_text(summary), 1, kPlain},
      {"Log: " + summary.folder, 1, kPlain},     {"Press anything to leave.", 1, kQuiet}};
  if (summary.lamp_failures > 0) {
    paragraphs.insert(paragraphs.end() - 2, {lamp_text(summary), 1, kPlain});
  }
  return text_page(screen, paragraphs, ordinary_scale(screen) + 1);
}

std::string summary_text(const RunSummary& summary) {
  return reason_text(summary.reason) + "\n" + presses_text(summary) + "\n" + render_text(summary) +
         "\n" + missed_text(summary) + "\nLog: " + summary.folder + "\n";
}

std::string lamp_warning(const RunSummary& summary) {
  return summary.lamp_failures == 0
             ? ""
             : lamp_text(summary) + "; the first said: " + summary.lamp_fault;
}

}  // namespace thumblight::harness
