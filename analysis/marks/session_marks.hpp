#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "analysis/marks/mark_file.hpp"
#include "analysis/marks/mark_set.hpp"

namespace thumblight::marks {

/// A frame (or sample) that a person has chosen.
struct ChosenFrame {
  double t_s = 0;      ///< on the recording's clock
  double frame_s = 0;  ///< time to the frame before it
  std::optional<std::int64_t> frame;
};

/// Marks of one session as a window makes them: every call is on the disk when it returns, and
/// `set` then says how things stand. Throws `Error` where the disk refuses; nothing has changed
/// then.
class SessionMarks {
 public:
  /// `found`: the timings as the tool wrote them.
  SessionMarks(const std::filesystem::path& folder, onset::Timings found);

  const MarkSet& set() const { return set_; }
  const onset::Timings& found() const { return found_; }
  /// Whether the file ended in a line cut short.
  bool was_cut() const { return file_.was_cut(); }

  void mark(std::int64_t index, What what, const ChosenFrame& chosen, int pass = 1);
  /// A press that the tool did not find; its index. Where a press lies within a tenth of a second
  /// already, that one is marked.
  std::int64_t add_press(What what, const ChosenFrame& chosen, int pass = 1);
  void leave_out(std::int64_t index, const std::string& reason);
  void take_in(std::int64_t index);
  /// `name`: patch, press or change.
  void drag_region(const std::string& name, const onset::Region& region);

  /// False where there is nothing to undo, or to do again.
  bool undo();
  bool redo();
  /// When the action that `undo` cancels was made (empty: none): of several sessions, the one that
  /// was latest.
  std::string undo_made_utc() const;

 private:
  void add(Action action);

  onset::Timings found_;
  MarkFile file_;
  MarkSet set_;
};

}  // namespace thumblight::marks
