#include "analysis/onset/find_change.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "analysis/onset/change_shape.hpp"
#include "analysis/onset/ordinary_motion.hpp"

namespace thumblight::onset {
namespace {

constexpr double kQuiet_s = 0.4;      ///< before a press in which the part moves of its own accord
constexpr double kFirstQuiet_s = 2;   ///< the same before the first press
constexpr double kNoAnswer_s = 0.25;  ///< after a press that is surely not of the next one's quiet
constexpr std::int64_t kMostLearned = 4000;  ///< frames; bounds memory and time
constexpr double kPicture_s = 1 / 60.0;

float quantile(std::vector<float> values, double share) {
  if (values.empty()) {
    return 0;
  }
  const auto at = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + at, values.end());
  return values[static_cast<std::size_t>(at)];
}

/// Frames of the film from `first` to before `last`.
struct Stretch {
  std::int64_t first = 0;
  std::int64_t last = 0;
};

/// The first of at least three frames out of four that exceed `least`; `values.size()` if none do.
std::size_t first_run(const std::vector<float>& values, std::size_t from, float least) {
  for (std::size_t i = from; i + 3 < values.size(); ++i) {
    int above = 0;
    for (std::size_t j = i; j < i + 4; ++j) {
      above += values[j] > least ? 1 : 0;
    }
    if (values[i] > least && above >= 3) {
      return i;
    }
  }
  return values.size();
}

class ChangeFinder {
 public:
  explicit ChangeFinder(const ChangeQuestion& question)
      : question_(question), interval_s_(question.film->clock.interval_s) {
    foresight_.lag = std::max<std::int64_t>(1, std::llround(kPicture_s / interval_s_));
    foresight_.horizon = 3 * foresight_.lag;
  }

  ChangeAnswer answer() {
    ChangeAnswer answer;
    answer.changes.resize(question_.press_s.size());
    std::vector<LevelWindow> quiet = quiet_windows();
    if (quiet.empty()) {
      return answer;
    }
    OrdinaryMotion motion(quiet, question_.layout, foresight_);
    if (trim(quiet, motion)) {
      motion = OrdinaryMotion(quiet, question_.layout, foresight_);
    }
    look_everywhere(quiet, motion);
    if (std::none_of(looks_.begin(), looks_.end(), [](const Look& look) { return look.found; })) {
      return answer;
    }
    for (int round = 0; round < 3; ++round) {
      learn_pattern(motion);
      look_for_pattern(quiet, motion);
    }
    place(answer);
    return answer;
  }

 private:
  /// What is known of one press.
  struct Look {
    Stretch frames;           ///< from its memory before the press to the end of what may answer it
    std::size_t pressed = 0;  ///< first frame that can show an answer
    std::vector<float> surprise;  ///< of all cells together, frame by frame
    std::vector<float> amount;    ///< of the pattern
    std::size_t begin = 0;
    bool found = false;
  };

  std::int64_t frame_at(double time_s) const { return question_.film->first_from(time_s); }

  LevelWindow read(const Stretch& stretch) const {
    return {stretch.first, question_.levels(stretch.first, stretch.last - stretch.first)};
  }

  /// The time before each press, less what the press before may still move.
  std::vector<LevelWindow> quiet_windows() const {
    const std::vector<double>& press_s = question_.press_s;
    std::vector<Stretch> stretches;
    std::int64_t frames = 0;
    for (std::size_t k = 0; k < press_s.size(); ++k) {
      const double from_s = k == 0 ? press_s[k] - kFirstQuiet_s
                                   : std::max(press_s[k] - kQuiet_s, press_s[k - 1] + kNoAnswer_s);
      const std::int64_t first = std::max<std::int64_t>(0, frame_at(from_s) - foresight_.memory());
      const std::int64_t last = frame_at(press_s[k]);
      if (last - first > foresight_.memory() + foresight_.lag) {
        stretches.push_back({first, last});
        frames += last - first;
      }
    }
    const std::size_t stride = static_cast<std::size_t>(frames / kMostLearned) + 1;
    std::vector<LevelWindow> windows;
    for (std::size_t k = 0; k < stretches.size(); k += stride) {
      windows.push_back(read(stretches[k]));
    }
    return windows;
  }

  std::vector<float> surprise_of(const Eigen::MatrixXf& surprises,
                                 const OrdinaryMotion& motion) const {
    std::vector<float> values(static_cast<std::size_t>(surprises.cols()), 0);
    for (Eigen::Index i = foresight_.memory(); i < surprises.cols(); ++i) {
      const Eigen::VectorXf each = surprises.col(i);
      values[static_cast<std::size_t>(i)] = each.dot(motion.weighed(each));
    }
    return values;
  }

  /// Cuts off the beginnings of quiet windows in which the answer to the press before still goes
  /// on.
  bool trim(std::vector<LevelWindow>& quiet, const OrdinaryMotion& motion) const {
    constexpr float kRestless = 3;
    std::vector<std::vector<float>> values;
    std::vector<float> all;
    for (std::size_t w = 0; w < quiet.size(); ++w) {
      values.push_back(surprise_of(motion.surprises(quiet[w], static_cast<int>(w % 2)), motion));
      all.insert(all.end(), values.back().begin() + foresight_.memory(), values.back().end());
    }
    const float restless = kRestless * quantile(all, 0.5);
    bool trimmed = false;
    for (std::size_t w = 1; w < quiet.size(); ++w) {
      std::int64_t calm = foresight_.memory();
      const std::int64_t frames = quiet[w].frames();
      for (std::int64_t i = calm; i < frames && i <= calm + 2; ++i) {
        calm = values[w][static_cast<std::size_t>(i)] > restless ? i + 1 : calm;
      }
      // What foretells must be calm as well.
      const std::int64_t cut = calm > foresight_.memory() ? calm : 0;
      if (cut > 0 && frames - cut > foresight_.memory() + foresight_.lag) {
        quiet[w].levels = quiet[w].levels.rightCols(frames - cut).eval();
        quiet[w].first += cut;
        trimmed = true;
      }
    }
    return trimmed;
  }

  void look_everywhere(const std::vector<LevelWindow>& quiet, const OrdinaryMotion& motion) {
    std::vector<float> ordinary;
    for (std::size_t w = 0; w < quiet.size(); ++w) {
      const std::vector<float> values =
          surprise_of(motion.surprises(quiet[w], static_cast<int>(w % 2)), motion);
      ordinary.insert(ordinary.end(), values.begin() + foresight_.memory(), values.end());
    }
    const float usual = quantile(ordinary, 0.5);
    const float above = quantile(ordinary, 0.841) - usual;
    least_surprise_ = std::max(1.25F * quantile(ordinary, 0.998), usual + 8 * above);
    const std::vector<double>& press_s = question_.press_s;
    for (std::size_t k = 0; k < press_s.size(); ++k) {
      const double end_s = k + 1 < press_s.size()
                               ? std::min(press_s[k] + kLongestAnswer_s, press_s[k + 1])
                               : press_s[k] + kLongestAnswer_s;
      const std::int64_t pressed = frame_at(press_s[k] - question_.exposure_s);
      const std::int64_t first =
          std::max<std::int64_t>(0, pressed - foresight_.memory() - 2 * foresight_.horizon);
      Look look;
      look.frames = {first, std::max(first, frame_at(end_s))};
      const LevelWindow window = read(look.frames);
      look.pressed = static_cast<std::size_t>(
          std::max(pressed - first, std::min<std::int64_t>(foresight_.memory(), window.frames())));
      look.surprise = surprise_of(motion.surprises(window), motion);
      look.begin = first_run(look.surprise, look.pressed, least_surprise_);
      look.found = look.begin < look.surprise.size();
      looks_.push_back(std::move(look));
    }
  }

  /// What the cells show shortly after the change began, in the middle of all presses.
  void learn_pattern(const OrdinaryMotion& motion) {
    std::vector<Eigen::VectorXf> early;
    for (const Look& look : looks_) {
      const auto begin = static_cast<Eigen::Index>(look.begin);
      if (!look.found || begin + foresight_.lag + 1 > look.frames.last - look.frames.first) {
        continue;
      }
      const Eigen::MatrixXf surprises = motion.surprises(read(look.frames));
      early.emplace_back(surprises.middleCols(begin + 1, foresight_.lag).rowwise().mean());
    }
    if (early.empty()) {
      return;
    }
    pattern_ = Eigen::VectorXf::Zero(question_.layout.cells());
    std::vector<float> values(early.size());
    for (Eigen::Index cell = 0; cell < pattern_.size(); ++cell) {
      std::transform(early.begin(), early.end(), values.begin(),
                     [cell](const Eigen::VectorXf& each) { return each[cell]; });
      pattern_[cell] = early.size() < 3 ? std::accumulate(values.begin(), values.end(), 0.0F) /
                                              static_cast<float>(values.size())
                                        : quantile(values, 0.5);
    }
    filter_ = motion.weighed(pattern_);
    filter_ /= std::max(pattern_.dot(filter_), 1e-12F);
  }

  std::vector<float> amounts(const LevelWindow& window, const OrdinaryMotion& motion,
                             int fold) const {
    const Eigen::VectorXf all = motion.surprises(window, fold).transpose() * filter_;
    return {all.data(), all.data() + all.size()};
  }

  void look_for_pattern(const std::vector<LevelWindow>& quiet, const OrdinaryMotion& motion) {
    std::vector<float> ordinary;
    for (std::size_t w = 0; w < quiet.size(); ++w) {
      const std::vector<float> values = amounts(quiet[w], motion, static_cast<int>(w % 2));
      for (std::size_t i = static_cast<std::size_t>(foresight_.memory()); i < values.size(); ++i) {
        ordinary.push_back(std::abs(values[i]));
      }
    }
    noise_ = quantile(ordinary, 0.683);
    least_amount_ = std::max(5 * noise_, 1.3F * quantile(ordinary, 0.998));
    for (Look& look : looks_) {
      look.amount = amounts(read(look.frames), motion, -1);
      look.begin = first_run(look.amount, look.pressed, least_amount_);
      look.found = look.begin < look.amount.size();
    }
  }

  ChangeTrace trace_of(const Look& look) const {
    ChangeTrace trace;
    const auto begin = static_cast<std::int64_t>(look.begin);
    const std::int64_t first =
        std::max<std::int64_t>(foresight_.memory(), begin - foresight_.horizon);
    // Beyond the horizon the change itself is what foretells.
    const std::int64_t last = std::min<std::int64_t>(look.frames.last - look.frames.first,
                                                     begin + foresight_.horizon - 2);
    for (std::int64_t i = first; i < last; ++i) {
      trace.start_s.push_back(
          question_.film->clock.time_s[static_cast<std::size_t>(look.frames.first + i)]);
      trace.amount.push_back(look.amount[static_cast<std::size_t>(i)]);
    }
    trace.about_s =
        question_.film->clock.time_s[static_cast<std::size_t>(look.frames.first + begin)];
    return trace;
  }

  void place(ChangeAnswer& answer) const {
    std::vector<ChangeTrace> traces;
    std::vector<std::size_t> of;
    for (std::size_t k = 0; k < looks_.size(); ++k) {
      if (looks_[k].found) {
        traces.push_back(trace_of(looks_[k]));
        of.push_back(k);
      }
    }
    const ChangeSearch search{interval_s_, question_.exposure_s, noise_};
    const ChangeCourse course = fit_course(traces, search);
    answer.decay_s = course.decay_s;
    answer.row_px = changing_row();
    constexpr double kModel = 0.15;  // of a frame: rise, exposure and row are known so well
    answer.shared_u_s = std::hypot(course.shared_u_s, kModel * interval_s_);
    constexpr double kSure = 6;
    answer.slow = std::abs(course.first_part) < kSure * course.first_part_u;
    for (std::size_t i = 0; i < course.changes.size(); ++i) {
      answer.changes[of[i]] = change_of(course, i, looks_[of[i]], answer);
    }
    doubt_the_odd(answer);
  }

  Change change_of(const ChangeCourse& course, std::size_t i, const Look& look,
                   const ChangeAnswer& answer) const {
    const PlacedChange& placed = course.changes[i];
    std::vector<float> misfits;
    for (const PlacedChange& each : course.changes) {
      misfits.push_back(static_cast<float>(each.misfit));
    }
    Change change;
    change.begin_s = placed.begin_s;
    change.u_s = std::hypot(std::max(placed.u_s, interval_s_ / std::sqrt(12.0)), answer.shared_u_s);
    const bool odd = placed.misfit > std::max({3.0 * quantile(misfits, 0.5), 4.0 * noise_, 0.35});
    change.doubtful = answer.slow || !placed.one_place || odd || stirs_before(look, placed.begin_s);
    return change;
  }

  /// Whether something else is out of the ordinary between the press and the change.
  bool stirs_before(const Look& look, double begin_s) const {
    const auto first = look.pressed;
    const std::int64_t until = frame_at(begin_s - 1.5 * interval_s_) - look.frames.first;
    const std::size_t run = first_run(look.surprise, first, 1.5F * least_surprise_);
    return static_cast<std::int64_t>(run) + 3 < until;
  }

  /// An answer that comes at quite another time than the others is looked at by a person.
  void doubt_the_odd(ChangeAnswer& answer) const {
    std::vector<float> delays;
    for (std::size_t k = 0; k < looks_.size(); ++k) {
      if (answer.changes[k]) {
        delays.push_back(static_cast<float>(answer.changes[k]->begin_s - question_.press_s[k]));
      }
    }
    const float middle = quantile(delays, 0.5);
    std::vector<float> away;
    std::transform(delays.begin(), delays.end(), std::back_inserter(away),
                   [middle](float delay) { return std::abs(delay - middle); });
    const double most_s = std::max(0.05, 6.0 * quantile(away, 0.5));
    for (std::size_t k = 0; k < looks_.size(); ++k) {
      if (answer.changes[k]) {
        const double delay_s = answer.changes[k]->begin_s - question_.press_s[k];
        answer.changes[k]->doubtful |= std::abs(delay_s - middle) > most_s;
      }
    }
  }

  double changing_row() const {
    double sum = 0;
    double rows = 0;
    for (int cell = 0; cell < question_.layout.cells(); ++cell) {
      const double weight = std::abs(filter_[cell] * pattern_[cell]);
      sum += weight;
      rows += weight * question_.layout.centre_y(cell);
    }
    return sum > 0 ? rows / sum : question_.layout.height / 2.0;
  }

  const ChangeQuestion& question_;
  double interval_s_;
  Foresight foresight_;
  std::vector<Look> looks_;
  float least_surprise_ = 0;
  float least_amount_ = 0;
  float noise_ = 0;
  Eigen::VectorXf pattern_;
  Eigen::VectorXf filter_;
};

}  // namespace

ChangeAnswer find_changes(const ChangeQuestion& question) {
  return ChangeFinder(question).answer();
}

}  // namespace thumblight::onset
