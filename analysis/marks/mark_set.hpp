#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "analysis/marks/records.hpp"

namespace thumblight::marks {

/// What is said by hand of one press. Of each pass the last mark that was not undone counts; one
/// of an earlier pass made later was made with everything in view, and replaces the later passes.
struct PressMarks {
  std::int64_t index = 0;        ///< in the timings at hand; of an added press its own
  bool added = false;            ///< not found by the tool
  std::optional<double> near_s;  ///< where it is, for the next record of it
  std::map<int, Mark> press;     ///< by pass
  std::map<int, Mark> light;
  std::optional<std::string> left_out;  ///< the reason

  const std::map<int, Mark>& of(What what) const { return what == What::kPress ? press : light; }
  bool has_marks() const { return !press.empty() || !light.empty(); }
};

/// Where things stand after all records: what was undone counts no more.
class MarkSet {
 public:
  /// `found` are the timings as the tool wrote them; each record goes to the press that lies where
  /// it says, else to a press of its own.
  MarkSet(const std::vector<Entry>& entries, const onset::Timings& found);

  /// Presses that something is said of, by index.
  const std::map<std::int64_t, PressMarks>& presses() const { return presses_; }
  /// Null where nothing is said of the press.
  const PressMarks* find(std::int64_t index) const;
  /// The last region of each name.
  const std::map<std::string, onset::Region>& regions() const { return regions_; }
  /// How often the marks were looked at with the earlier ones hidden, and once: 0 without marks.
  int last_pass() const;

  /// The record that an undo, or a redo, cancels next; empty where there is none.
  std::optional<std::int64_t> undo_target() const { return undo_target_; }
  std::optional<std::int64_t> redo_target() const { return redo_target_; }

  /// What the next record of this press says of where it is; `t_s` for one that is not there yet.
  PressRef reference(std::int64_t index, double t_s) const;
  /// An index that no press has.
  std::int64_t free_index() const;
  /// Records of presses that the timings no longer have, taken as presses of their own.
  std::size_t strays() const { return strays_; }

 private:
  friend class MarkReplay;
  std::map<std::int64_t, PressMarks> presses_;
  std::map<std::string, onset::Region> regions_;
  std::map<std::int64_t, std::optional<double>> found_s_;
  std::optional<std::int64_t> undo_target_;
  std::optional<std::int64_t> redo_target_;
  std::size_t strays_ = 0;
};

}  // namespace thumblight::marks
