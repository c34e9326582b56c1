#include "analysis/marks/mark_set.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace thumblight::marks {
namespace {

/// Presses are at least a third of a second apart where patches flash; what is read anew moves by
/// frames.
constexpr double kSamePlaceSeconds = 0.1;

std::optional<double> place_of(const onset::PressTiming& press) {
  if (press.press) {
    return press.press->t_s;
  }
  return press.light ? std::optional<double>(press.light->t_s) : std::nullopt;
}

bool is_undo(const Entry& entry) {
  return std::holds_alternative<Undo>(entry.action);
}

/// The records that no later one cancels: an undo that was itself undone cancels nothing.
std::vector<const Entry*> standing(const std::vector<Entry>& entries) {
  std::set<std::int64_t> cancelled;
  std::vector<const Entry*> left;
  for (auto entry = entries.rbegin(); entry != entries.rend(); ++entry) {
    if (cancelled.contains(entry->id)) {
      continue;
    }
    left.push_back(&*entry);
    if (const Undo* undo = std::get_if<Undo>(&entry->action); undo != nullptr) {
      cancelled.insert(undo->of);
    }
  }
  std::reverse(left.begin(), left.end());
  return left;
}

/// Undo cancels the last action that stands.
std::optional<std::int64_t> last_standing_action(const std::vector<const Entry*>& left) {
  const auto found =
      std::find_if(left.rbegin(), left.rend(), [](const Entry* entry) { return !is_undo(*entry); });
  return found == left.rend() ? std::nullopt : std::optional<std::int64_t>((*found)->id);
}

/// Redo cancels the last undo of an action that stands, if no action was made after it.
std::optional<std::int64_t> last_standing_undo(const std::vector<const Entry*>& left,
                                               const std::vector<Entry>& all) {
  std::set<std::int64_t> actions;
  for (const Entry& entry : all) {
    if (!is_undo(entry)) {
      actions.insert(entry.id);
    }
  }
  const auto found = std::find_if(left.rbegin(), left.rend(), [&actions](const Entry* entry) {
    const Undo* undo = std::get_if<Undo>(&entry->action);
    return undo != nullptr && actions.contains(undo->of);
  });
  const bool is_last = found != left.rend() && (*found)->id > *actions.rbegin();
  return is_last ? std::optional<std::int64_t>((*found)->id) : std::nullopt;
}

}  // namespace

/// Goes through the records that stand and fills a `MarkSet`.
class MarkReplay {
 public:
  MarkReplay(MarkSet& set, const onset::Timings& found) : set_(set) {
    for (const onset::PressTiming& press : found.presses) {
      by_index_.emplace(press.index, &press);
      for (const std::optional<onset::Instant>& instant : {press.press, press.light}) {
        if (instant) {
          by_time_.emplace(instant->t_s, &press);
        }
      }
    }
  }

  void operator()(const Mark& mark) {
    PressMarks& press = press_at(mark.at, mark.t_s);
    std::map<int, Mark>& passes = mark.what == What::kPress ? press.press : press.light;
    passes.erase(passes.lower_bound(mark.pass), passes.end());
    passes.emplace(mark.pass, mark);
  }
  void operator()(const LeaveOut& out) {
    if (PressMarks* press = known_press(out.at); press != nullptr) {
      press->left_out = out.reason;
    }
  }
  void operator()(const TakeIn& in) {
    if (PressMarks* press = known_press(in.at); press != nullptr) {
      press->left_out.reset();
    }
  }
  void operator()(const DraggedRegion& dragged) {
    set_.regions_.insert_or_assign(dragged.name, dragged.region);
  }
  void operator()(const Undo&) const {}

 private:
  /// The found press nearest to `t_s` among those close by; the one of that index goes first.
  const onset::PressTiming* found_near(std::int64_t index, double t_s) const {
    const onset::PressTiming* nearest = nullptr;
    double least_s = HUGE_VAL;
    for (auto near = by_time_.lower_bound(t_s - kSamePlaceSeconds);
         near != by_time_.end() && near->first <= t_s + kSamePlaceSeconds; ++near) {
      if (near->second->index == index) {
        return near->second;
      }
      if (std::abs(near->first - t_s) < least_s) {
        least_s = std::abs(near->first - t_s);
        nearest = near->second;
      }
    }
    return nearest;
  }

  const onset::PressTiming* found_press(const PressRef& at) const {
    if (at.near_s) {
      return found_near(at.index, *at.near_s);
    }
    const auto same = by_index_.find(at.index);
    return same == by_index_.end() ? nullptr : same->second;
  }

  /// A press that was added, by where it is or, where that is not told, by its index.
  PressMarks* added_press(const PressRef& at) {
    auto index = at.index;
    if (at.near_s) {
      const auto near = added_by_time_.lower_bound(*at.near_s - kSamePlaceSeconds);
      if (near == added_by_time_.end() || near->first > *at.near_s + kSamePlaceSeconds) {
        return nullptr;
      }
      index = near->second;
    }
    const auto known = set_.presses_.find(index);
    return known != set_.presses_.end() && known->second.added ? &known->second : nullptr;
  }

  PressMarks* known_press(const PressRef& at) {
    if (const onset::PressTiming* press = found_press(at); press != nullptr) {
      PressMarks& known = set_.presses_[press->index];
      known.index = press->index;
      known.near_s = place_of(*press);
      return &known;
    }
    PressMarks* added = added_press(at);
    set_.strays_ += added == nullptr ? 1 : 0;
    return added;
  }

  PressMarks& press_at(const PressRef& at, double t_s) {
    if (found_press(at) != nullptr) {
      return *known_press(at);
    }
    if (PressMarks* added = added_press(at); added != nullptr) {
      return *added;
    }
    const bool taken = set_.found_s_.contains(at.index) || set_.presses_.contains(at.index);
    const std::int64_t index = taken ? set_.free_index() : at.index;
    PressMarks& press = set_.presses_[index];
    press.index = index;
    press.added = true;
    press.near_s = at.near_s.value_or(t_s);
    added_by_time_.emplace(*press.near_s, index);
    // A new press is where its own first mark is; one that was found elsewhere has been lost.
    set_.strays_ += at.near_s && *at.near_s != t_s ? 1 : 0;
    return press;
  }

  MarkSet& set_;
  std::map<std::int64_t, const onset::PressTiming*> by_index_;
  std::multimap<double, const onset::PressTiming*> by_time_;
  std::map<double, std::int64_t> added_by_time_;
};

MarkSet::MarkSet(const std::vector<Entry>& entries, const onset::Timings& found) {
  for (const onset::PressTiming& press : found.presses) {
    found_s_.emplace(press.index, place_of(press));
  }
  const std::vector<const Entry*> left = standing(entries);
  MarkReplay replay(*this, found);
  for (const Entry* entry : left) {
    std::visit(replay, entry->action);
  }
  undo_target_ = last_standing_action(left);
  redo_target_ = last_standing_undo(left, entries);
}

const PressMarks* MarkSet::find(std::int64_t index) const {
  const auto found = presses_.find(index);
  return found == presses_.end() ? nullptr : &found->second;
}

int MarkSet::last_pass() const {
  int last = 0;
  for (const auto& [index, press] : presses_) {
    for (const std::map<int, Mark>& passes : {press.press, press.light}) {
      last = passes.empty() ? last : std::max(last, passes.rbegin()->first);
    }
  }
  return last;
}

PressRef MarkSet::reference(std::int64_t index, double t_s) const {
  if (const PressMarks* press = find(index); press != nullptr) {
    return {index, press->near_s};
  }
  const auto found = found_s_.find(index);
  return {index, found == found_s_.end() ? std::optional<double>(t_s) : found->second};
}

std::int64_t MarkSet::free_index() const {
  const std::int64_t found = found_s_.empty() ? 0 : found_s_.rbegin()->first + 1;
  return presses_.empty() ? found : std::max(found, presses_.rbegin()->first + 1);
}

}  // namespace thumblight::marks
