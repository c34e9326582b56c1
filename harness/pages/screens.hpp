#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "harness/pages/page.hpp"

/// The pages that the harness shows, laid out for a screen of a given size.
namespace thumblight::harness {

/// The caution about flashing.
Page caution_page(const Size& screen);

/// Asks for the control under test.
Page learn_page(const Size& screen);

/// While the refresh is measured; what is pressed now does not count.
Page wait_page(const Size& screen, const Rect& patch);

/// What a run shows beside its patch.
struct RunStatus {
  std::int64_t flashed = 0;
  std::int64_t wanted = 0;  ///< 0: as many as the person likes
  std::string control;      ///< the name of the control under test
  bool is_key = false;      ///< it is a key of the keyboard
};
Page armed_page(const Size& screen, const Rect& patch, const RunStatus& status);

/// The control's device was unplugged.
Page paused_page(const Size& screen, const std::string& device);

struct RunSummary {
  std::int64_t presses = 0;
  std::int64_t flashed = 0;
  std::optional<double> render_median_ms;
  std::optional<double> render_min_ms;
  std::optional<double> render_max_ms;
  std::optional<std::int64_t> missed_frames;
  int lamp_failures = 0;   ///< switches that failed and so are not in the log
  std::string lamp_fault;  ///< what the first of them said; empty if there was none
  std::string reason;
  std::string folder;
};
Page end_page(const Size& screen, const RunSummary& summary);

/// The same summary in lines for a terminal.
std::string summary_text(const RunSummary& summary);

/// What went wrong with the lamp, in a sentence; empty if nothing did.
std::string lamp_warning(const RunSummary& summary);

}  // namespace thumblight::harness
