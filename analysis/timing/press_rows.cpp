#include "analysis/timing/press_rows.hpp"

#include <algorithm>

#include "analysis/timing/split.hpp"

namespace thumblight::timing {
namespace {

class Merger {
 public:
  Merger(const std::vector<onset::PressTiming>& recording, const session::Log* log,
         const Flips& flips, const Timebase& base)
      : recording_(recording), log_(log), flips_(flips), base_(base) {}

  void add_recorded(std::size_t j) { fill_recorded(rows_.emplace_back(), j, log_ != nullptr); }

  void add_logged(std::size_t i) {
    fill_logged(rows_.emplace_back(), i);
    rows_.back().index = log_->presses[i].index;
    rows_.back().flags.emplace_back(flag::kNotInRecording);
  }

  void add_pair(const Pair& pair) {
    PressRow& row = rows_.emplace_back();
    fill_recorded(row, pair.recorded, false);
    fill_logged(row, pair.logged);
    if (pair.by == PairedBy::kLight) {
      row.flags.emplace_back(flag::kPairedByLight);
    }
    if (pair.by == PairedBy::kOrder) {
      row.flags.emplace_back(flag::kPairedByOrder);
    }
  }

  std::vector<PressRow> take() { return std::move(rows_); }

 private:
  std::optional<double> seen(const std::optional<onset::Instant>& instant) const {
    return instant ? std::optional<double>(base_.recording(instant->t_s)) : std::nullopt;
  }
  std::optional<double> logged(const std::optional<std::int64_t>& t_ns) const {
    return t_ns ? std::optional<double>(base_.host(*t_ns)) : std::nullopt;
  }

  void fill_recorded(PressRow& row, std::size_t j, bool is_missing_in_log) const {
    row.index = recording_[j].index;
    row.recorded = &recording_[j];
    row.press_s = seen(recording_[j].press);
    row.flags = recording_[j].flags;
    if (recording_[j].left_out) {
      row.flags.emplace_back(flag::kLeftOut);
    }
    const bool doubtful = has_flag(row, onset::kDoubtful);
    row.light_s = doubtful ? std::nullopt : seen(recording_[j].light);
    if (!row.press_s) {
      row.flags.emplace_back(flag::kPressNotSeen);
    }
    if (!recording_[j].light) {
      row.flags.emplace_back(flag::kLightNotSeen);
    }
    if (is_missing_in_log) {
      row.flags.emplace_back(flag::kNotInLog);
    }
  }

  void fill_logged(PressRow& row, std::size_t i) const {
    row.logged = &log_->presses[i];
    row.arrival_s = base_.host(row.logged->arrival_ns);
    row.submit_s = logged(row.logged->submit_ns);
    row.flip_s = logged(flips_.at_ns[i]);
    if (!row.logged->flashed) {
      row.flags.emplace_back(flag::kNotFlashed);
    }
  }

  const std::vector<onset::PressTiming>& recording_;
  const session::Log* log_;
  const Flips& flips_;
  const Timebase& base_;
  std::vector<PressRow> rows_;
};

void drop_both(PressRow& row, const char* why) {
  row.flags.emplace_back(why);
  row.press_s.reset();
  row.light_s.reset();
}

void drop_impossible_total(PressRow& row) {
  if (!row.press_s || !row.light_s) {
    return;
  }
  const double total_s = *row.light_s - *row.press_s;
  const double doubt_s = widening_s(row.recorded->press) + widening_s(row.recorded->light);
  if (total_s < -doubt_s) {
    drop_both(row, flag::kLightBeforePress);
  } else if (row.submit_s && total_s < *row.submit_s - *row.arrival_s - doubt_s) {
    drop_both(row, flag::kTotalBelowRender);
  }
}

void drop_impossible_across(PressRow& row, const LinkedClock& clock) {
  const auto doubt_s = [&clock](double x_s) {
    return clock.half_width_s + kWidening * clock.u_at(x_s);
  };
  if (row.press_s && row.arrival_s &&
      *row.press_s + clock.offset_at(*row.press_s) - widening_s(row.recorded->press) -
              doubt_s(*row.press_s) >
          *row.arrival_s) {
    row.flags.emplace_back(flag::kPressAfterArrival);
    row.press_s.reset();
  }
  if (row.light_s && row.submit_s &&
      *row.light_s + clock.offset_at(*row.light_s) + widening_s(row.recorded->light) +
              doubt_s(*row.light_s) <
          *row.submit_s) {
    row.flags.emplace_back(flag::kLightBeforeSubmit);
    row.light_s.reset();
  }
}

}  // namespace

std::vector<PressRow> merge_rows(const std::vector<onset::PressTiming>& recording,
                                 const session::Log* log, const Flips& flips,
                                 const Pairing& pairing, const Timebase& base) {
  Merger merger(recording, log, flips, base);
  std::size_t i = 0;
  std::size_t j = 0;
  const auto add_up_to = [&](std::size_t logged, std::size_t recorded) {
    for (; j < recorded; ++j) {
      merger.add_recorded(j);
    }
    for (; i < logged; ++i) {
      merger.add_logged(i);
    }
  };
  for (const Pair& pair : pairing.pairs) {
    add_up_to(pair.logged, pair.recorded);
    merger.add_pair(pair);
    ++i;
    ++j;
  }
  add_up_to(log == nullptr ? 0 : log->presses.size(), recording.size());
  return merger.take();
}

double widening_s(const std::optional<onset::Instant>& instant) {
  return instant ? kWidening * instant->u_s.value_or(0) : 0;
}

void drop_impossible(std::vector<PressRow>& rows) {
  for (PressRow& row : rows) {
    if (row.is_paired() && !row.logged->flashed) {
      row.light_s.reset();
    }
    drop_impossible_total(row);
  }
}

void drop_impossible_across(std::vector<PressRow>& rows, const LinkedClock& clock) {
  for (PressRow& row : rows) {
    drop_impossible_across(row, clock);
  }
}

void clear_left_out(std::vector<PressRow>& rows) {
  for (PressRow& row : rows) {
    if (row.recorded != nullptr && row.recorded->left_out) {
      row.press_s.reset();
      row.light_s.reset();
      row.flags.clear();
    }
  }
}

bool has_flag(const PressRow& row, const char* flag) {
  return std::find(row.flags.begin(), row.flags.end(), flag) != row.flags.end();
}

}  // namespace thumblight::timing
