#include "analysis/onset/find_change.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

#include "analysis/onset/change_looks.hpp"
#include "analysis/onset/change_shape.hpp"
#include "analysis/onset/quantile.hpp"
#include "analysis/onset/surprise.hpp"

namespace thumblight::onset {
namespace {

/// Places what was found in time, and says what is doubtful.
class ChangePlacer {
 public:
  ChangePlacer(const ChangeQuestion& question, const Foresight& foresight, const ChangeLooks& looks,
               const OrdinaryMotion& motion)
      : question_(question),
        interval_s_(question.film->clock.interval_s),
        foresight_(foresight),
        looks_(looks),
        motion_(motion) {}

  void place_all(ChangeAnswer& answer) const {
    std::vector<std::size_t> rare;
    std::vector<std::size_t> usual;
    for (std::size_t k = 0; k < looks_.looks().size(); ++k) {
      if (looks_.looks()[k].found) {
        (looks_.is_rare(looks_.looks()[k].kind) ? rare : usual).push_back(k);
      }
    }
    if (!rare.empty()) {
      place(rare, answer);
    }
    if (!usual.empty()) {
      place(usual, answer);
    }
    answer.row_px = changing_row();
    doubt_the_odd(answer);
  }

 private:
  /// What the first picture of this press shows in the cells, where that stands out by itself, or
  /// else what it shows in all presses.
  ChangePattern first_picture_of(const Look& look) const {
    constexpr float kClear = 2;
    const Eigen::VectorXf own = looks_.mean_surprise(look, 1, foresight_.lag);
    const bool clear = greatest_block(own.cwiseProduct(motion_.weighed(own)), question_.layout) >
                       kClear * looks_.least_surprise();
    return clear ? pattern_of(own, motion_) : looks_.pattern(look.kind);
  }

  ChangeTrace trace_of(const Look& look) const {
    const std::vector<float> amount =
        amounts_of(first_picture_of(look), read_window(question_, look.frames), motion_, -1);
    ChangeTrace trace;
    const auto begin = static_cast<std::int64_t>(look.begin);
    const std::int64_t first = std::max<std::int64_t>(
        foresight_.memory(), begin - foresight_.horizon - 2 * foresight_.lag);
    // Beyond the horizon the change itself is what foretells.
    const std::int64_t last = std::min<std::int64_t>(look.frames.last - look.frames.first,
                                                     begin + foresight_.horizon - 2);
    for (std::int64_t i = first; i < last; ++i) {
      trace.start_s.push_back(
          question_.film->clock.time_s[static_cast<std::size_t>(look.frames.first + i)]);
      trace.amount.push_back(amount[static_cast<std::size_t>(i)]);
    }
    trace.about_s =
        question_.film->clock.time_s[static_cast<std::size_t>(look.frames.first + begin)];
    return trace;
  }

  /// Places the changes of the looks `of`. Odd ones must not mislead the others, so they are placed
  /// by themselves.
  void place(const std::vector<std::size_t>& of, ChangeAnswer& answer) const {
    std::vector<ChangeTrace> traces;
    traces.reserve(of.size());
    for (const std::size_t k : of) {
      traces.push_back(trace_of(looks_.looks()[k]));
    }
    const FirstPictures first = place_first_pictures(
        traces, {interval_s_, question_.exposure_s, question_.film->lossless(), usual_noise()});
    answer.decay_s = first.decay_s;
    constexpr double kModel = 0.25;  // of a frame: exposure, rows and coding are known so well
    answer.shared_u_s = std::hypot(first.shared_u_s, kModel * interval_s_);
    answer.slow = first.hidden || may_hide(first.growth, strength_of(of));
    for (std::size_t i = 0; i < of.size(); ++i) {
      answer.changes[of[i]] = change_of(first.changes[i], looks_.looks()[of[i]], answer);
    }
  }

  /// How far first pictures stand out of what is ordinary, in the middle of all: any surprise, and
  /// the pattern that presses have in common.
  struct Strength {
    float surprise = 0;
    float pattern = 0;
  };

  Strength strength_of(const std::vector<std::size_t>& of) const {
    std::vector<float> surprises;
    std::vector<float> patterns;
    for (const std::size_t k : of) {
      const Look& look = looks_.looks()[k];
      const auto first = static_cast<std::ptrdiff_t>(look.begin);
      const auto last = std::min<std::ptrdiff_t>(first + foresight_.lag, std::ssize(look.surprise));
      surprises.push_back(
          quantile_of<float>({look.surprise.begin() + first, look.surprise.begin() + last}, 0.5) /
          looks_.least_surprise());
      patterns.push_back(
          quantile_of<float>({look.amount.begin() + first, look.amount.begin() + last}, 0.5) /
          looks_.pattern(look.kind).least);
    }
    return {quantile_of(surprises, 0.5), quantile_of(patterns, 0.5)};
  }

  /// Whether a picture of a third of the first one's height may have gone before unseen. A steady
  /// speed makes the second picture show at most twice what the first does, and a steady
  /// acceleration from rest four times, but 2.25 times where its first picture was missed.
  static bool may_hide(double growth, const Strength& strength) {
    constexpr double kSteady = 2.12;
    constexpr double kNearlySteady = 1.5;
    constexpr double kFromRest = 2.9;
    constexpr float kWeakSurprise = 12;
    constexpr float kWeakPattern = 2.2F;
    return growth < kFromRest && ((growth > kSteady && strength.surprise < kWeakSurprise) ||
                                  (growth > kNearlySteady && strength.pattern < kWeakPattern));
  }

  Change change_of(const PlacedChange& placed, const Look& look, const ChangeAnswer& answer) const {
    Change change;
    change.begin_s = placed.begin_s;
    change.u_s = std::hypot(std::max(placed.u_s, interval_s_ / std::sqrt(12.0)), answer.shared_u_s);
    const bool alone = looks_.looks().size() < kEnoughToTell && !is_clear(look);
    const bool odd = placed.misfit > std::max(4.0 * usual_noise(), 0.35);
    change.doubtful = answer.slow || odd || alone || placed.stirs_before ||
                      looks_.is_rare(look.kind) || stirs_before(look, placed.begin_s);
    return change;
  }

  /// Whether the change is plain in this press alone.
  bool is_clear(const Look& look) const {
    constexpr float kClear = 5;
    const std::size_t at = std::min(look.begin + static_cast<std::size_t>(foresight_.lag) - 1,
                                    look.surprise.size() - 1);
    return look.surprise[at] > kClear * looks_.least_surprise();
  }

  /// Whether something is out of the ordinary just before the change: it may be its beginning. What
  /// comes earlier and looks otherwise than the answers do is none.
  bool stirs_before(const Look& look, double begin_s) const {
    const std::int64_t until =
        question_.film->first_from(begin_s - 1.5 * interval_s_) - look.frames.first;
    const std::int64_t from =
        std::max<std::int64_t>(static_cast<std::int64_t>(look.pressed), until - 2 * foresight_.lag);
    const std::size_t run =
        first_run(look.surprise, static_cast<std::size_t>(from), 1.5F * looks_.least_surprise());
    return static_cast<std::int64_t>(run) + 2 < until;
  }

  /// An answer that comes at quite another time than the others is looked at by a person.
  void doubt_the_odd(ChangeAnswer& answer) const {
    std::vector<float> delays;
    for (std::size_t k = 0; k < looks_.looks().size(); ++k) {
      if (answer.changes[k]) {
        delays.push_back(static_cast<float>(answer.changes[k]->begin_s - question_.press_s[k]));
      }
    }
    const float middle = quantile_of(delays, 0.5);
    std::vector<float> away;
    std::transform(delays.begin(), delays.end(), std::back_inserter(away),
                   [middle](float delay) { return std::abs(delay - middle); });
    const double most_s = std::max(0.05, 6.0 * quantile_of(away, 0.5));
    for (std::size_t k = 0; k < looks_.looks().size(); ++k) {
      if (answer.changes[k]) {
        const double delay_s = answer.changes[k]->begin_s - question_.press_s[k];
        answer.changes[k]->doubtful |= std::abs(delay_s - middle) > most_s;
      }
    }
  }

  double usual_noise() const {
    std::vector<float> all;
    for (const Look& look : looks_.looks()) {
      if (look.found) {
        all.push_back(looks_.pattern(look.kind).noise);
      }
    }
    return quantile_of(all, 0.5);
  }

  double changing_row() const {
    double sum = 0;
    double rows = 0;
    for (const Look& look : looks_.looks()) {
      for (int cell = 0; look.found && cell < question_.layout.cells(); ++cell) {
        const ChangePattern& pattern = looks_.pattern(look.kind);
        const double weight = std::abs(pattern.filter[cell] * pattern.cells[cell]);
        sum += weight;
        rows += weight * question_.layout.centre_y(cell);
      }
    }
    return sum > 0 ? rows / sum : question_.layout.height / 2.0;
  }

  const ChangeQuestion& question_;
  double interval_s_;
  Foresight foresight_;
  const ChangeLooks& looks_;
  const OrdinaryMotion& motion_;
};

Foresight foresight_for(double interval_s) {
  constexpr double kPicture_s = 1 / 60.0;  // of a screen
  Foresight foresight;
  foresight.lag = std::max<std::int64_t>(1, std::llround(kPicture_s / interval_s));
  foresight.horizon = 3 * foresight.lag;
  return foresight;
}

}  // namespace

ChangeAnswer find_changes(const ChangeQuestion& question) {
  ChangeAnswer answer;
  answer.changes.resize(question.press_s.size());
  const Foresight foresight = foresight_for(question.film->clock.interval_s);
  QuietTime quiet(question, foresight);
  if (quiet.windows().empty()) {
    return answer;
  }
  OrdinaryMotion motion(quiet.windows(), question.layout, foresight);
  if (quiet.trim(motion)) {
    motion = OrdinaryMotion(quiet.windows(), question.layout, foresight);
  }
  ChangeLooks looks(question, foresight, quiet.windows(), motion);
  looks.find();
  ChangePlacer(question, foresight, looks, motion).place_all(answer);
  return answer;
}

}  // namespace thumblight::onset
