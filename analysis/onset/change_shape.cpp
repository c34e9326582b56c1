#include "analysis/onset/change_shape.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "analysis/onset/edge_response.hpp"

namespace thumblight::onset {
namespace {

constexpr double kCorrelated = 2;        ///< neighbouring frames err alike: half as many count
constexpr double kPicture_s = 1 / 60.0;  ///< a screen shows the next picture no sooner, as a rule
constexpr double kMuchMore = 1.9;        ///< of the first picture, that the second one shows
constexpr double kMore = 1.5;
constexpr double kBefore = 10;      ///< frames looked at before a picture ...
constexpr double kFewest = 2.2;     ///< ... and at least so many of it
constexpr double kStep = 1.0 / 32;  ///< of a frame, of the search
constexpr std::array kDecays_s = {0.0001, 0.0005, 0.001, 0.0015, 0.002, 0.003, 0.004, 0.006};

/// The frames of one trace that show no picture but the first.
struct Frames {
  std::vector<double> after_s;  ///< after the beginning that was guessed
  std::vector<double> amount;
};

Frames frames_of(const ChangeTrace& trace, double begin_s, const ChangeSearch& search) {
  const double until_s = std::max(kPicture_s - search.exposure_s - 0.3 * search.interval_s,
                                  kFewest * search.interval_s);
  Frames frames;
  for (std::size_t i = 0; i < trace.amount.size(); ++i) {
    const double after_s = trace.start_s[i] - begin_s;
    if (after_s > -kBefore * search.interval_s && after_s < until_s) {
      frames.after_s.push_back(after_s);
      frames.amount.push_back(trace.amount[i]);
    }
  }
  return frames;
}

/// A step of free height upon a free level, since a coder holds its errors over many frames.
struct Step {
  double height = 0;
  double weight = 0;  ///< with which the height is known
  double squares = 0;
};

Step step_at(const Frames& frames, const EdgeResponse& response, double later_s) {
  const auto n = static_cast<double>(std::max<std::size_t>(frames.amount.size(), 1));
  double shown = 0;
  double amount = 0;
  double shown2 = 0;
  double both = 0;
  double amount2 = 0;
  for (std::size_t i = 0; i < frames.amount.size(); ++i) {
    const double share = response(frames.after_s[i] - later_s);
    shown += share;
    amount += frames.amount[i];
    shown2 += share * share;
    both += share * frames.amount[i];
    amount2 += frames.amount[i] * frames.amount[i];
  }
  const double square = shown2 - shown * shown / n;
  const double product = both - shown * amount / n;
  Step step;
  step.weight = square;
  step.height = square > 1e-9 ? product / square : 0;
  step.squares = std::max(0.0, amount2 - amount * amount / n - step.height * product);
  return step;
}

/// Mean and standard deviation of values with the weights of their likelihood.
class Likelihood {
 public:
  explicit Likelihood(double variance) : scale_(2 * kCorrelated * variance) {}

  void add(double value, double squares) { tried_.push_back({value, squares}); }

  void judge() {
    double least = std::numeric_limits<double>::max();
    for (const Tried& tried : tried_) {
      least = std::min(least, tried.squares);
    }
    double sum = 0;
    double square = 0;
    for (const Tried& tried : tried_) {
      const double weight = std::exp(-(tried.squares - least) / scale_);
      sum += weight;
      mean += weight * tried.value;
      square += weight * tried.value * tried.value;
    }
    mean /= sum;
    sd = std::sqrt(std::max(0.0, square / sum - mean * mean));
  }

  double mean = 0;
  double sd = 0;

 private:
  struct Tried {
    double value = 0;
    double squares = 0;
  };
  double scale_;
  std::vector<Tried> tried_;
};

class FirstPictureFit {
 public:
  FirstPictureFit(const std::vector<ChangeTrace>& traces, const ChangeSearch& search)
      : traces_(traces), search_(search) {
    for (const ChangeTrace& trace : traces) {
      begins_s_.push_back(trace.about_s);
    }
  }

  FirstPictures placed() {
    FirstPictures first;
    first.changes.resize(traces_.size());
    for (int round = 0; round < 2; ++round) {
      choose_decay();
      for (std::size_t k = 0; k < traces_.size(); ++k) {
        first.changes[k] = place(k);
        begins_s_[k] = first.changes[k].begin_s;
        go_back_alone(k, first.changes[k]);
      }
    }
    rise_together();
    go_back();
    first.decay_s = decay_s_;
    first.shared_u_s = std::hypot(rise_u_s_, back_u_s_);
    first.hidden = hidden_;
    first.growth = growth();
    const bool slow = first.growth > kMuchMore;
    for (std::size_t k = 0; k < traces_.size(); ++k) {
      first.changes[k].begin_s = begins_s_[k];
      first.changes[k].stirs_before = stirs_before(k, slow);
    }
    return first;
  }

 private:
  EdgeResponse response_of(double decay_s) const { return {{0, decay_s}, search_.exposure_s, 0}; }

  double floor_of(double squares, double n) const {
    return std::max(squares / std::max(n, 1.0), search_.noise * search_.noise / 4);
  }

  /// The rise that explains all first pictures best, each in its best place.
  void choose_decay() {
    double least = std::numeric_limits<double>::max();
    for (const double decay_s : kDecays_s) {
      const EdgeResponse response = response_of(decay_s);
      double sum = 0;
      for (std::size_t k = 0; k < traces_.size(); ++k) {
        const Frames frames = frames_of(traces_[k], begins_s_[k], search_);
        double best = std::numeric_limits<double>::max();
        for (double later = -1.2; later <= 1.2; later += 2 * kStep) {
          best = std::min(best, step_at(frames, response, later * search_.interval_s).squares);
        }
        sum += best;
      }
      if (sum < least) {
        least = sum;
        decay_s_ = decay_s;
      }
    }
  }

  PlacedChange place(std::size_t k) const {
    const EdgeResponse response = response_of(decay_s_);
    const Frames frames = frames_of(traces_[k], begins_s_[k], search_);
    double least = std::numeric_limits<double>::max();
    std::vector<double> squares;
    for (double later = -1.2; later <= 1.2; later += kStep) {
      squares.push_back(step_at(frames, response, later * search_.interval_s).squares);
      least = std::min(least, squares.back());
    }
    const double variance = floor_of(least, static_cast<double>(frames.amount.size()));
    Likelihood likelihood(variance);
    for (std::size_t i = 0; i < squares.size(); ++i) {
      likelihood.add((static_cast<double>(i) * kStep - 1.2) * search_.interval_s, squares[i]);
    }
    likelihood.judge();
    PlacedChange placed;
    placed.begin_s = begins_s_[k] + likelihood.mean;
    placed.u_s = likelihood.sd;
    allow_for_coder(frames, response, likelihood.mean, placed);
    placed.misfit =
        std::sqrt(least / std::max<double>(1, static_cast<double>(frames.amount.size())));
    return placed;
  }

  /// A coder that loses something draws a half-lit picture in full, or leaves it out, and holds it.
  /// So a first frame that shows all of the picture says little of when in its exposure that came.
  void allow_for_coder(const Frames& frames, const EdgeResponse& response, double later_s,
                       PlacedChange& placed) const {
    constexpr double kAll = 0.93;
    constexpr double kHalf = 0.2;
    constexpr double kOpen = 0.25;  // of the exposure
    const Step step = step_at(frames, response, later_s);
    double level = 0;
    double before = 0;
    for (std::size_t i = 0; i < frames.amount.size(); ++i) {
      const double shown = before > 0 ? (frames.amount[i] - level / before) / step.height : 0;
      if (shown > kAll && !search_.lossless) {
        placed.begin_s += kOpen * search_.exposure_s;
        placed.u_s = std::hypot(placed.u_s, kOpen * search_.exposure_s);
      }
      if (shown > kHalf) {
        return;
      }
      level += frames.amount[i];
      before += 1;
    }
  }

  /// What the rise leaves open of all beginnings: their mean under each rise, as likely as it is.
  void rise_together() {
    double n = 0;
    std::vector<double> tenths_s;
    std::vector<double> squares;
    for (const double decay_s : kDecays_s) {
      const EdgeResponse response = response_of(decay_s);
      // What looks like a rise may be the screen's, or the scan-out over the changed rows, whose
      // middle half of it is: between the two lies what can be told.
      const double tenth_s =
          (share_time_s({0, decay_s}, 0.1) + share_time_s({0, decay_s}, 0.5)) / 2;
      double sum = 0;
      double later_s = 0;
      n = 0;
      for (std::size_t k = 0; k < traces_.size(); ++k) {
        const Frames frames = frames_of(traces_[k], begins_s_[k], search_);
        n += static_cast<double>(frames.amount.size());
        double best = std::numeric_limits<double>::max();
        double best_s = 0;
        for (double later = -1.2; later <= 1.2; later += kStep) {
          const double at_s = later * search_.interval_s;
          const double tried = step_at(frames, response, at_s).squares;
          best_s = tried < best ? at_s : best_s;
          best = std::min(best, tried);
        }
        sum += best;
        later_s += best_s / static_cast<double>(traces_.size());
      }
      tenths_s.push_back(later_s + tenth_s);
      squares.push_back(sum);
    }
    const double least = *std::min_element(squares.begin(), squares.end());
    Likelihood likelihood(floor_of(least, n));
    for (std::size_t i = 0; i < squares.size(); ++i) {
      likelihood.add(tenths_s[i], squares[i]);
    }
    likelihood.judge();
    const double open_s =
        (share_time_s({0, decay_s_}, 0.5) - share_time_s({0, decay_s_}, 0.1)) / std::sqrt(12.0);
    rise_u_s_ = std::hypot(likelihood.sd, open_s);
    const double shift_s = likelihood.mean - share_time_s({0, decay_s_}, 0.1);
    for (double& begin_s : begins_s_) {
      begin_s += shift_s;
    }
  }

  /// How much of the change a picture shows, and how sure that is.
  struct Shown {
    double height = 0;
    double u = 0;
  };

  Shown shown(std::size_t k, double begin_s) const {
    const EdgeResponse response = response_of(decay_s_);
    const Frames frames = frames_of(traces_[k], begin_s, search_);
    const Step step = step_at(frames, response, 0);
    const double variance = floor_of(step.squares, static_cast<double>(frames.amount.size()));
    return {step.height, std::sqrt(kCorrelated * variance / std::max(step.weight, 1e-9))};
  }

  /// A press whose own trace shows the picture before begins there.
  void go_back_alone(std::size_t k, PlacedChange& change) {
    constexpr double kClear = 5;  // standard errors
    constexpr double kLeastPart = 0.12;
    for (int back = 0; back < 3; ++back) {
      const Shown before = shown(k, begins_s_[k] - kPicture_s);
      if (before.height < kClear * before.u || before.height < kLeastPart) {
        return;
      }
      begins_s_[k] -= kPicture_s;
      change = place(k);
      begins_s_[k] = change.begin_s;
    }
  }

  /// Whether the picture before may show in this trace, though too little to begin there.
  bool stirs_before(std::size_t k, bool slow) const {
    constexpr double kPerhaps = 3;  // standard errors
    constexpr double kLeastPart = 0.06;
    const double much = slow ? 0.12 : 0.2;
    const Shown before = shown(k, begins_s_[k] - kPicture_s);
    return before.height > much ||
           (slow && before.height > kPerhaps * before.u && before.height > kLeastPart);
  }

  /// Mean of what the picture before shows in all traces, and its spread over them.
  struct Earlier {
    double mean = 0;
    double sd = 0;
    double u = 0;
  };

  Earlier earlier() const {
    double sum = 0;
    double square = 0;
    double squares = 0;
    for (std::size_t k = 0; k < traces_.size(); ++k) {
      const Shown before = shown(k, begins_s_[k] - kPicture_s);
      sum += before.height;
      square += before.height * before.height;
      squares += before.u * before.u;
    }
    const auto n = static_cast<double>(traces_.size());
    constexpr double kFew = 4;
    Earlier found;
    found.mean = sum / n;
    found.sd = n >= kFew ? std::sqrt(std::max(0.0, square / n - found.mean * found.mean))
                         : std::sqrt(squares / n);
    found.u = std::max(found.sd / std::sqrt(std::max(1.0, n - 1)), 1e-4);
    return found;
  }

  /// What the second picture shows of the same as the first. Much more is a slow setting off, of
  /// which a still smaller picture may have gone before.
  double growth() const {
    std::vector<double> ratios;
    for (std::size_t k = 0; k < traces_.size(); ++k) {
      const double first = shown(k, begins_s_[k]).height;
      double level = 0;
      double second = 0;
      double before = 0;
      double after = 0;
      for (std::size_t i = 0; i < traces_[k].amount.size(); ++i) {
        const double after_s = traces_[k].start_s[i] - begins_s_[k];
        if (after_s < -search_.interval_s && after_s > -kPicture_s) {
          level += traces_[k].amount[i];
          before += 1;
        }
        if (after_s > kPicture_s + 0.3 * search_.interval_s &&
            after_s < 2 * kPicture_s - search_.exposure_s) {
          second += traces_[k].amount[i];
          after += 1;
        }
      }
      if (before > 0 && after > 0 && first > 0) {
        ratios.push_back((second / after - level / before) / first);
      }
    }
    if (ratios.empty()) {
      return 1;
    }
    const auto middle = ratios.begin() + static_cast<std::ptrdiff_t>(ratios.size() / 2);
    std::nth_element(ratios.begin(), middle, ratios.end());
    return *middle;
  }

  /// Goes back with all presses together as long as the picture before shows in all alike.
  void go_back() {
    constexpr double kThere = 4;  // standard errors
    constexpr double kPerhaps = 2.5;
    constexpr double kLeastPart = 0.05;
    constexpr double kAlike = 0.6;
    constexpr double kHalfOpen = 0.25;
    constexpr double kSlowOpen = 0.1;
    constexpr double kLeastSlow = 0.01;
    for (int back = 0; back < 3; ++back) {
      const Earlier found = earlier();
      const bool there = found.mean > kThere * found.u && found.mean > kLeastPart;
      if (!there || found.sd > kAlike * found.mean) {
        const double most = found.mean + 2 * found.u;
        hidden_ = there || (found.mean > kPerhaps * found.u && found.mean > kLeastPart) ||
                  most > kHalfOpen || (growth() > kMuchMore && most > kSlowOpen) ||
                  (growth() > kMore && found.mean > kPerhaps * found.u && found.mean > kLeastSlow);
        return;
      }
      for (double& begin_s : begins_s_) {
        begin_s -= kPicture_s;
      }
      back_u_s_ = 0.3 * search_.interval_s;
    }
    hidden_ = true;
  }

  const std::vector<ChangeTrace>& traces_;
  const ChangeSearch& search_;
  std::vector<double> begins_s_;
  double decay_s_ = kDecays_s[0];
  double rise_u_s_ = 0;
  double back_u_s_ = 0;
  bool hidden_ = false;
};

}  // namespace

FirstPictures place_first_pictures(const std::vector<ChangeTrace>& traces,
                                   const ChangeSearch& search) {
  return traces.empty() ? FirstPictures{} : FirstPictureFit(traces, search).placed();
}

}  // namespace thumblight::onset
