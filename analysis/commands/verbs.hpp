#pragma once

#include <CLI/App.hpp>
#include <cstddef>
#include <functional>
#include <ostream>
#include <stdexcept>

#include "analysis/report/wrap.hpp"

namespace thumblight::commands {

/// Where a verb writes: results to `out`, progress and warnings to `err` unless `quiet`.
struct Streams {
  std::ostream& out;
  std::ostream& err;
  bool quiet = false;
  bool progress = false;  ///< `err` is a terminal that may be told of progress
  std::size_t columns = report::kTerminalColumns;  ///< of the terminal that `out` is
  bool colour = false;  ///< `out` is a terminal that shows colours, and they are wanted
  bool ascii = false;   ///< the locale knows no UTF-8
};

/// Options that do not go together: printed like an `Error`, with the exit code of wrong usage.
class UsageError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// What a verb does once its options have been read; throws `Error` or `UsageError`.
using Action = std::function<void(const Streams&)>;

/// One verb of the program. `add_options` puts its options on `app` and gives what it does.
struct Verb {
  const char* name;
  const char* line;  ///< what it does, in one line
  Action (*add_options)(CLI::App& app);
};

/// `compare`: whether set-ups differ, and by how much.
Action add_compare(CLI::App& app);

/// `demo`: sessions of a made-up arcade, rehearsed and measured.
Action add_demo(CLI::App& app);

/// `extract`: a recording to timings.
Action add_extract(CLI::App& app);

/// `label`: shows or edits the labels of a session.
Action add_label(CLI::App& app);

/// `measure`: a session folder, all steps.
Action add_measure(CLI::App& app);

/// `plan`: how many presses a wish takes.
Action add_plan(CLI::App& app);

/// `rehearse`: makes a session folder whose truth is known.
Action add_rehearse(CLI::App& app);

/// `report`: one file to be read in a browser.
Action add_report(CLI::App& app);

/// `review`: a window to look at the frames and to mark by hand.
Action add_review(CLI::App& app);

/// `split`: timings and log to the portions of each press.
Action add_split(CLI::App& app);

}  // namespace thumblight::commands
