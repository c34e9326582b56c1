#include "analysis/timing/chains.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <set>

#include "analysis/timing/nearest.hpp"

namespace thumblight::timing {
namespace {

/// Beginnings tried in all; with many events their number is spread over the recording.
constexpr std::size_t kMostBeginnings = 1'000'000;
constexpr std::size_t kLookAhead = 32;
constexpr std::size_t kFirstLook = 8;  ///< events after which a beginning without support is left
constexpr std::size_t kFewestOfFirstLook = 2;
constexpr std::size_t kBestKept = 256;
constexpr std::size_t kMostChains = 6;
constexpr double kWidestWindowSeconds = 0.25;

struct Beginning {
  Match match;
  std::size_t support = 0;
};

/// The offset of a chain as it is followed in one direction.
class Offset {
 public:
  Offset(double time_s, double offset_s, double largest_rate)
      : first_s_(time_s),
        first_offset_s_(offset_s),
        last_s_(time_s),
        last_offset_s_(offset_s),
        largest_rate_(largest_rate),
        doubt_(largest_rate) {}

  double at(double time_s) const { return last_offset_s_ + rate_ * (time_s - last_s_); }

  double window(double time_s) const {
    return std::min(kStepToleranceSeconds + doubt_ * std::abs(time_s - last_s_),
                    kWidestWindowSeconds);
  }

  void move(double time_s, double offset_s) {
    last_s_ = time_s;
    last_offset_s_ = offset_s;
    const double run = std::abs(last_s_ - first_s_);
    const double doubt = run > 0 ? 2 * kStepToleranceSeconds / run : largest_rate_;
    if (doubt < largest_rate_) {
      doubt_ = doubt;
      rate_ = std::clamp((last_offset_s_ - first_offset_s_) / (last_s_ - first_s_), -largest_rate_,
                         largest_rate_);
    }
  }

 private:
  double first_s_;
  double first_offset_s_;
  double last_s_;
  double last_offset_s_;
  double largest_rate_;
  double rate_ = 0;
  double doubt_;
};

/// The two series, walked away from a beginning.
class Walk {
 public:
  Walk(const std::vector<double>& host_s, const std::vector<double>& recording_s,
       const SpacingLimits& limits)
      : host_s_(host_s), recording_s_(recording_s), limits_(limits) {}

  double offset_of(const Match& match) const {
    return host_s_[match.logged] - recording_s_[match.recorded];
  }

  /// Whether the offset of a beginning is worth a look.
  bool allows(const Match& match) const { return is_known(offset_of(match)); }

  /// How many of the next events agree with the beginning.
  std::size_t support(const Match& beginning) const {
    Offset offset = offset_from(beginning);
    Match last = beginning;
    std::size_t hits = 0;
    const std::size_t end = std::min(recording_s_.size(), beginning.recorded + 1 + kLookAhead);
    std::size_t near = beginning.logged;
    for (std::size_t j = beginning.recorded + 1; j < end; ++j) {
      hits += advance(j, offset, near, last, std::greater<>()) ? 1 : 0;
      if (j == beginning.recorded + kFirstLook && hits < kFewestOfFirstLook) {
        return hits;
      }
    }
    return hits;
  }

  /// The whole chain, both ways from the beginning.
  std::vector<Match> chain(const Match& beginning) const {
    std::vector<Match> matches = backward(beginning);
    std::reverse(matches.begin(), matches.end());
    matches.push_back(beginning);
    Offset offset = offset_from(beginning);
    Match last = beginning;
    std::size_t near = beginning.logged;
    for (std::size_t j = beginning.recorded + 1; j < recording_s_.size(); ++j) {
      if (advance(j, offset, near, last, std::greater<>())) {
        matches.push_back(last);
      }
    }
    return matches;
  }

 private:
  /// Whether the offset between the clocks may be this one.
  bool is_known(double offset_s) const {
    const std::optional<OffsetRange>& range = limits_.offset_s;
    return !range || (offset_s >= range->low_s && offset_s <= range->high_s);
  }

  Offset offset_from(const Match& match) const {
    return {recording_s_[match.recorded], offset_of(match), limits_.largest_rate};
  }

  /// The host event at recording event `j`, if it agrees with the offset; `near`, where the last
  /// one was sought, moves on.
  std::optional<std::size_t> find(std::size_t j, Offset& offset, std::size_t& near) const {
    const double time_s = recording_s_[j];
    const double target_s = time_s + offset.at(time_s);
    near = nearest_from(host_s_, near, target_s);
    const double offset_s = host_s_[near] - time_s;
    if (std::abs(host_s_[near] - target_s) > offset.window(time_s) || !is_known(offset_s)) {
      return std::nullopt;
    }
    return near;
  }

  /// Moves the offset of a chain on to the host event at recording event `j`, if there is one that
  /// lies beyond `last`.
  template <typename Beyond>
  bool advance(std::size_t j, Offset& offset, std::size_t& near, Match& last, Beyond beyond) const {
    const std::optional<std::size_t> i = find(j, offset, near);
    if (!i || !beyond(*i, last.logged)) {
      return false;
    }
    offset.move(recording_s_[j], host_s_[*i] - recording_s_[j]);
    last = {*i, j};
    return true;
  }

  std::vector<Match> backward(const Match& beginning) const {
    std::vector<Match> matches;
    Offset offset = offset_from(beginning);
    std::size_t near = beginning.logged;
    Match last = beginning;
    for (std::size_t j = beginning.recorded; j-- > 0;) {
      if (advance(j, offset, near, last, std::less<>())) {
        matches.push_back(last);
      }
    }
    return matches;
  }

  const std::vector<double>& host_s_;
  const std::vector<double>& recording_s_;
  const SpacingLimits& limits_;
};

bool more_support(const Beginning& a, const Beginning& b) {
  return a.support > b.support;
}

void keep_best(std::vector<Beginning>& beginnings, std::size_t most) {
  if (beginnings.size() > most) {
    std::nth_element(beginnings.begin(), beginnings.begin() + static_cast<std::ptrdiff_t>(most),
                     beginnings.end(), more_support);
    beginnings.resize(most);
  }
}

/// Recording events from which chains begin: all of them, or as many as the time allows.
std::vector<std::size_t> starting_events(std::size_t host_count, std::size_t recording_count) {
  const std::size_t most = std::max<std::size_t>(16, kMostBeginnings / host_count);
  const std::size_t count = std::min(recording_count, most);
  std::vector<std::size_t> events;
  for (std::size_t k = 0; k < count; ++k) {
    events.push_back(k * recording_count / count);
  }
  return events;
}

std::vector<Beginning> best_beginnings(const Walk& walk, std::size_t host_count,
                                       std::size_t recording_count) {
  std::vector<Beginning> best;
  for (const std::size_t j : starting_events(host_count, recording_count)) {
    for (std::size_t i = 0; i < host_count; ++i) {
      const Match match{i, j};
      if (walk.allows(match)) {
        best.push_back({match, walk.support(match)});
      }
    }
    if (best.size() > 8 * kBestKept) {
      keep_best(best, kBestKept);
    }
  }
  keep_best(best, kBestKept);
  std::stable_sort(best.begin(), best.end(), more_support);
  return best;
}

}  // namespace

std::vector<std::vector<Match>> find_chains(const std::vector<double>& host_s,
                                            const std::vector<double>& recording_s,
                                            const SpacingLimits& limits) {
  std::vector<std::vector<Match>> chains;
  if (host_s.empty() || recording_s.empty()) {
    return chains;
  }
  const Walk walk(host_s, recording_s, limits);
  std::set<std::pair<std::size_t, std::size_t>> covered;
  for (const Beginning& beginning : best_beginnings(walk, host_s.size(), recording_s.size())) {
    if (chains.size() == kMostChains) {
      break;
    }
    if (covered.count({beginning.match.logged, beginning.match.recorded}) > 0) {
      continue;
    }
    chains.push_back(walk.chain(beginning.match));
    for (const Match& match : chains.back()) {
      covered.insert({match.logged, match.recorded});
    }
  }
  return chains;
}

}  // namespace thumblight::timing
