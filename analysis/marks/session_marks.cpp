#include "analysis/marks/session_marks.hpp"

#include <algorithm>

namespace thumblight::marks {
namespace {

Mark mark_of(const PressRef& at, What what, const ChosenFrame& chosen, int pass) {
  return {at, what, chosen.t_s, frame_u_s(chosen.frame_s), chosen.frame, pass};
}

}  // namespace

SessionMarks::SessionMarks(const std::filesystem::path& folder, onset::Timings found)
    : found_(std::move(found)), file_(folder), set_(file_.entries(), found_) {}

void SessionMarks::add(Action action) {
  file_.append(std::move(action));
  set_ = MarkSet(file_.entries(), found_);
}

void SessionMarks::mark(std::int64_t index, What what, const ChosenFrame& chosen, int pass) {
  add(mark_of(set_.reference(index, chosen.t_s), what, chosen, pass));
}

std::int64_t SessionMarks::add_press(What what, const ChosenFrame& chosen, int pass) {
  const std::int64_t index = set_.free_index();
  mark(index, what, chosen, pass);
  if (set_.find(index) != nullptr) {
    return index;
  }
  // A press lies there already, so the mark has gone to it.
  const auto holds = [&](const auto& press) {
    const auto& marks = press.second.of(what);
    return marks.contains(pass) && marks.at(pass).at.index == index;
  };
  return std::find_if(set_.presses().begin(), set_.presses().end(), holds)->first;
}

void SessionMarks::leave_out(std::int64_t index, const std::string& reason) {
  add(LeaveOut{set_.reference(index, 0), reason});
}

void SessionMarks::take_in(std::int64_t index) {
  add(TakeIn{set_.reference(index, 0)});
}

void SessionMarks::drag_region(const std::string& name, const onset::Region& region) {
  add(DraggedRegion{name, region});
}

bool SessionMarks::undo() {
  const std::optional<std::int64_t> target = set_.undo_target();
  if (target) {
    add(Undo{*target});
  }
  return target.has_value();
}

bool SessionMarks::redo() {
  const std::optional<std::int64_t> target = set_.redo_target();
  if (target) {
    add(Undo{*target});
  }
  return target.has_value();
}

std::string SessionMarks::undo_made_utc() const {
  const std::optional<std::int64_t> target = set_.undo_target();
  const auto found = std::find_if(file_.entries().begin(), file_.entries().end(),
                                  [&](const Entry& entry) { return entry.id == target; });
  return found == file_.entries().end() ? "" : found->made_utc;
}

}  // namespace thumblight::marks
