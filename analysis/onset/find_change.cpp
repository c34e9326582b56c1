#include "analysis/onset/find_change.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>

#include "analysis/onset/change_shape.hpp"
#include "analysis/onset/ordinary_motion.hpp"

namespace thumblight::onset {
namespace {

constexpr double kQuiet_s = 0.4;      ///< before a press in which the part moves of its own accord
constexpr double kFirstQuiet_s = 2;   ///< the same before the first press
constexpr double kNoAnswer_s = 0.25;  ///< after a press that is surely not of the next one's quiet
constexpr std::int64_t kMostLearned = 4000;  ///< frames; bounds memory and time
constexpr double kPicture_s = 1 / 60.0;
constexpr std::size_t kEnoughToTell = 5;  ///< presses of which the odd ones can be told

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
      sort_by_kind(motion);
      look_for_patterns(quiet, motion);
    }
    for (std::size_t kind = 0; kind < patterns_.size(); ++kind) {
      for (int back = 0; back < 4 && step_back(quiet, motion, kind); ++back) {
      }
    }
    for (std::size_t kind = 0; kind < patterns_.size(); ++kind) {
      agree_on_first(quiet, motion, kind);
      agree_on_first(quiet, motion, kind);
    }
    place_all(motion, answer);
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
    std::size_t kind = 0;
    bool found = false;
  };

  std::int64_t frame_at(double time_s) const { return question_.film->first_from(time_s); }

  LevelWindow read(const Stretch& stretch) const {
    return {stretch.first, question_.levels(stretch.first, stretch.last - stretch.first)};
  }

  /// A long stretch in parts, since one half of them foretells the other; each with its own memory.
  std::vector<Stretch> pieces(const Stretch& whole) const {
    const std::int64_t memory = foresight_.memory();
    const std::int64_t frames = whole.last - whole.first - memory;
    std::vector<Stretch> parts;
    if (frames <= foresight_.lag) {
      return parts;
    }
    const auto longest = static_cast<std::int64_t>(std::ceil(kQuiet_s / interval_s_)) + 1;
    const std::int64_t count = (frames + longest - 1) / longest;
    for (std::int64_t part = 0; part < count; ++part) {
      parts.push_back({whole.first + frames * part / count,
                       whole.first + memory + frames * (part + 1) / count});
    }
    return parts;
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
      for (const Stretch& piece : pieces({first, last})) {
        stretches.push_back(piece);
        frames += piece.last - piece.first;
      }
    }
    const std::size_t stride = static_cast<std::size_t>(frames / kMostLearned) + 1;
    std::vector<LevelWindow> windows;
    for (std::size_t k = 0; k < stretches.size(); k += stride) {
      windows.push_back(read(stretches[k]));
    }
    return windows;
  }

  /// How far each frame is out of the ordinary, in the block of cells in which it is most so.
  std::vector<float> surprise_of(const Eigen::MatrixXf& surprises,
                                 const OrdinaryMotion& motion) const {
    std::vector<float> values(static_cast<std::size_t>(surprises.cols()), 0);
    for (Eigen::Index i = foresight_.memory(); i < surprises.cols(); ++i) {
      const Eigen::VectorXf each = surprises.col(i);
      values[static_cast<std::size_t>(i)] = greatest_block(each.cwiseProduct(motion.weighed(each)));
    }
    return values;
  }

  float greatest_block(const Eigen::VectorXf& parts) const {
    constexpr int kSide = 4;
    const int columns = question_.layout.columns;
    const int rows = question_.layout.rows;
    const Eigen::Map<const Eigen::MatrixXf> grid(parts.data(), columns, rows);
    float most = 0;
    for (int top = 0; top == 0 || top + kSide / 2 < rows; top += kSide / 2) {
      for (int left = 0; left == 0 || left + kSide / 2 < columns; left += kSide / 2) {
        most = std::max(most, grid.block(left, top, std::min(kSide, columns - left),
                                         std::min(kSide, rows - top))
                                  .sum());
      }
    }
    return most;
  }

  /// Learns how long answers go on: what is out of the ordinary in many quiet windows at the same
  /// time after the press before belongs to its answer. Cuts that off; false where there is nothing
  /// to cut.
  bool trim(std::vector<LevelWindow>& quiet, const OrdinaryMotion& motion) const {
    constexpr float kRestless = 2.5;
    std::vector<std::vector<float>> values;
    std::vector<float> all;
    for (std::size_t w = 0; w < quiet.size(); ++w) {
      values.push_back(surprise_of(motion.surprises(quiet[w], static_cast<int>(w % 2)), motion));
      all.insert(all.end(), values.back().begin() + foresight_.memory(), values.back().end());
    }
    const double calm_s = calm_after_s(quiet, values, kRestless * quantile(all, 0.5));
    bool trimmed = false;
    for (LevelWindow& window : quiet) {
      const std::int64_t first = frame_at(press_before_s(window) + calm_s);
      const std::int64_t cut = std::clamp<std::int64_t>(first - window.first, 0, window.frames());
      if (cut > 0) {
        window.levels = window.levels.rightCols(window.frames() - cut).eval();
        window.first += cut;
        trimmed = true;
      }
    }
    const std::int64_t least = foresight_.memory() + foresight_.lag;
    std::vector<LevelWindow> kept;
    std::copy_if(quiet.begin(), quiet.end(), std::back_inserter(kept),
                 [least](const LevelWindow& window) { return window.frames() > least; });
    if (!trimmed || kept.empty()) {
      return false;
    }
    quiet = std::move(kept);
    return true;
  }

  /// The last press that lies before the end of a quiet window less the window's own.
  double press_before_s(const LevelWindow& window) const {
    const double first_s = question_.film->clock.time_s[static_cast<std::size_t>(window.first)];
    const auto later =
        std::upper_bound(question_.press_s.begin(), question_.press_s.end(), first_s);
    return later == question_.press_s.begin() ? -1e9 : *std::prev(later);
  }

  double calm_after_s(const std::vector<LevelWindow>& quiet,
                      const std::vector<std::vector<float>>& values, float least) const {
    constexpr double kBin_s = 0.03;
    constexpr std::size_t kBins = 60;
    constexpr double kMany = 0.5;
    const double fewest = std::max(3.0, 0.3 * static_cast<double>(quiet.size()));
    std::vector<double> seen(kBins, 0);
    std::vector<double> stirred(kBins, 0);
    for (std::size_t w = 0; w < quiet.size(); ++w) {
      const double before_s = press_before_s(quiet[w]);
      std::vector<char> stirs(kBins, 0);
      std::vector<char> covers(kBins, 0);
      for (std::int64_t i = foresight_.memory(); i < quiet[w].frames(); ++i) {
        const double since_s =
            question_.film->clock.time_s[static_cast<std::size_t>(quiet[w].first + i)] - before_s;
        const auto bin = static_cast<std::size_t>(std::min(since_s / kBin_s, 1e6));
        if (bin < kBins) {
          covers[bin] = 1;
          if (values[w][static_cast<std::size_t>(i)] > least) {
            stirs[bin] = 1;
          }
        }
      }
      for (std::size_t bin = 0; bin < kBins; ++bin) {
        seen[bin] += covers[bin];
        stirred[bin] += stirs[bin];
      }
    }
    std::size_t calm = 0;
    for (std::size_t bin = 0; bin < kBins; ++bin) {
      const bool restless = seen[bin] >= fewest && stirred[bin] > kMany * seen[bin];
      const double until_s = static_cast<double>(bin + 2) * kBin_s;
      calm = restless && leaves_enough(quiet, until_s) ? bin + 2 : calm;
    }
    return static_cast<double>(calm) * kBin_s;
  }

  /// Whether enough is left to learn from if answers are held to go on so long.
  bool leaves_enough(const std::vector<LevelWindow>& quiet, double until_s) const {
    constexpr double kEnough = 0.4;
    std::int64_t all = 0;
    std::int64_t left = 0;
    for (const LevelWindow& window : quiet) {
      const std::int64_t last = window.first + window.frames();
      all += std::max<std::int64_t>(0, window.frames() - foresight_.memory());
      const std::int64_t from = std::max(window.first, frame_at(press_before_s(window) + until_s));
      left += std::max<std::int64_t>(0, last - from - foresight_.memory());
    }
    return static_cast<double>(left) > kEnough * static_cast<double>(all);
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
    least_surprise_ = std::max(1.5F * quantile(ordinary, 0.998), usual + 6 * above);
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

  /// What one kind of answer shows in the cells: a menu's choice goes up or down.
  struct Pattern {
    Eigen::VectorXf cells;
    Eigen::VectorXf filter;
    float noise = 0;  ///< of the amount where nothing changes ...
    float least = 0;  ///< ... and what stands out of it
  };

  /// Mean surprise of frames, counted from the look's begin.
  Eigen::VectorXf mean_surprise(const Look& look, const OrdinaryMotion& motion, std::int64_t from,
                                std::int64_t to) const {
    const std::int64_t frames = look.frames.last - look.frames.first;
    const auto begin = static_cast<std::int64_t>(look.begin);
    const std::int64_t first = std::clamp(begin + from, foresight_.memory(), frames);
    const std::int64_t last = std::clamp(begin + to, first, frames);
    if (last == first) {
      return Eigen::VectorXf::Zero(question_.layout.cells());
    }
    return motion.surprises(read(look.frames)).middleCols(first, last - first).rowwise().mean();
  }

  static Eigen::VectorXf middle_of(const std::vector<Eigen::VectorXf>& all) {
    Eigen::VectorXf middle = Eigen::VectorXf::Zero(all.front().size());
    if (all.size() < 3) {
      for (const Eigen::VectorXf& each : all) {
        middle += each / static_cast<float>(all.size());
      }
      return middle;
    }
    std::vector<float> values(all.size());
    for (Eigen::Index cell = 0; cell < middle.size(); ++cell) {
      std::transform(all.begin(), all.end(), values.begin(),
                     [cell](const Eigen::VectorXf& each) { return each[cell]; });
      middle[cell] = quantile(values, 0.5);
    }
    return middle;
  }

  /// Sorts the looks that found something by what they show shortly after it began.
  void sort_by_kind(const OrdinaryMotion& motion) {
    constexpr float kAlike = 0.5F;
    constexpr std::size_t kMostKinds = 16;
    std::vector<std::vector<Eigen::VectorXf>> kinds;
    for (Look& look : looks_) {
      if (!look.found) {
        continue;
      }
      const Eigen::VectorXf early = mean_surprise(look, motion, 1, foresight_.lag + 1);
      const Eigen::VectorXf weighed = motion.weighed(early);
      const float size = early.dot(weighed);
      std::size_t best = kinds.size();
      float most = kAlike;
      for (std::size_t kind = 0; kind < kinds.size(); ++kind) {
        const Eigen::VectorXf middle = middle_of(kinds[kind]);
        const float alike =
            weighed.dot(middle) / std::sqrt(size * middle.dot(motion.weighed(middle)) + 1e-12F);
        best = alike > most ? kind : best;
        most = std::max(most, alike);
      }
      if (best == kinds.size() && kinds.size() < kMostKinds) {
        kinds.emplace_back();
      }
      look.kind = std::min(best, kinds.size() - 1);
      kinds[look.kind].push_back(early);
    }
    patterns_.clear();
    for (const std::vector<Eigen::VectorXf>& kind : kinds) {
      patterns_.push_back(pattern_of(middle_of(kind), motion));
    }
  }

  static Pattern pattern_of(const Eigen::VectorXf& cells, const OrdinaryMotion& motion) {
    Pattern pattern;
    pattern.cells = cells;
    pattern.filter = motion.weighed(cells);
    pattern.filter /= std::max(cells.dot(pattern.filter), 1e-12F);
    return pattern;
  }

  std::vector<float> amounts(const LevelWindow& window, const OrdinaryMotion& motion,
                             const Pattern& pattern, int fold) const {
    const Eigen::VectorXf all = motion.surprises(window, fold).transpose() * pattern.filter;
    return {all.data(), all.data() + all.size()};
  }

  /// How much of a pattern ordinary motion shows.
  void learn_noise(const std::vector<LevelWindow>& quiet, const OrdinaryMotion& motion,
                   Pattern& pattern) const {
    std::vector<float> ordinary;
    for (std::size_t w = 0; w < quiet.size(); ++w) {
      const std::vector<float> values = amounts(quiet[w], motion, pattern, static_cast<int>(w % 2));
      for (std::size_t i = static_cast<std::size_t>(foresight_.memory()); i < values.size(); ++i) {
        ordinary.push_back(std::abs(values[i]));
      }
    }
    pattern.noise = quantile(ordinary, 0.683);
    pattern.least = std::max(5 * pattern.noise, 1.3F * quantile(ordinary, 0.998));
  }

  void look_for_patterns(const std::vector<LevelWindow>& quiet, const OrdinaryMotion& motion) {
    for (Pattern& pattern : patterns_) {
      learn_noise(quiet, motion, pattern);
    }
    std::vector<char> usual;
    for (std::size_t kind = 0; kind < patterns_.size(); ++kind) {
      usual.push_back(is_rare(kind) ? 0 : 1);
    }
    for (Look& look : looks_) {
      if (!look.found || usual[look.kind] == 0) {
        look_again(look, motion, usual);
      } else {
        take_pattern(look, motion, look.kind);
      }
    }
  }

  /// Where the look shows that pattern; whether it does.
  bool take_pattern(Look& look, const OrdinaryMotion& motion, std::size_t kind) {
    const std::vector<float> amount = amounts(read(look.frames), motion, patterns_[kind], -1);
    const std::size_t begin = first_run(amount, look.pressed, patterns_[kind].least);
    if (begin >= amount.size()) {
      return false;
    }
    look.amount = amount;
    look.kind = kind;
    look.found = true;
    look.begin = stirred_from(look, begin);
    return true;
  }

  /// What shows nothing, or something else than most others do, may show it later or fainter.
  void look_again(Look& look, const OrdinaryMotion& motion, const std::vector<char>& usual) {
    const std::size_t kind = kind_of(look, motion, usual);
    if (kind < patterns_.size() && take_pattern(look, motion, kind)) {
      return;
    }
    look.found = look.found && take_pattern(look, motion, look.kind);
  }

  /// Where the part begins to stir without a pause until the pattern shows: a first picture may
  /// look other than those after it.
  std::size_t stirred_from(const Look& look, std::size_t begin) const {
    constexpr float kClear = 2;
    const std::size_t earliest = std::max(
        look.pressed,
        begin - std::min<std::size_t>(begin, static_cast<std::size_t>(3 * foresight_.lag)));
    std::size_t from = begin;
    while (from > earliest && look.surprise[from - 1] > kClear * least_surprise_) {
      --from;
    }
    return from;
  }

  /// The usual pattern that a look shows most of; none where none stands out.
  std::size_t kind_of(const Look& look, const OrdinaryMotion& motion,
                      const std::vector<char>& usual) const {
    std::size_t best = patterns_.size();
    float most = 1;
    for (std::size_t kind = 0; kind < patterns_.size(); ++kind) {
      if (usual[kind] == 0) {
        continue;
      }
      const std::vector<float> values = amounts(read(look.frames), motion, patterns_[kind], -1);
      for (std::size_t i = look.pressed; i < values.size(); ++i) {
        const float stands_out = values[i] / std::max(patterns_[kind].least, 1e-6F);
        best = stands_out > most ? kind : best;
        most = std::max(most, stands_out);
      }
    }
    return best;
  }

  /// How strongly the mean of some surprises stands out of ordinary motion.
  static double strength_of(const std::vector<Eigen::VectorXf>& all, const OrdinaryMotion& motion) {
    Eigen::VectorXf sum = Eigen::VectorXf::Zero(all.front().size());
    for (const Eigen::VectorXf& each : all) {
      sum += each;
    }
    return std::max(0.0F, sum.dot(motion.weighed(sum)));
  }

  /// The picture before the one found may have changed too, only in other cells or by less than one
  /// press shows. What half of the presses show there is looked for in the other half.
  bool step_back(const std::vector<LevelWindow>& quiet, const OrdinaryMotion& motion,
                 std::size_t kind) {
    constexpr std::size_t kFewest = 4;
    constexpr double kSure = 4;
    constexpr double kLeastStrength = 0.03;
    std::vector<Look*> of_kind;
    std::vector<Eigen::VectorXf> found;
    std::vector<Eigen::VectorXf> before;
    for (Look& look : looks_) {
      if (look.found && look.kind == kind) {
        of_kind.push_back(&look);
        found.push_back(mean_surprise(look, motion, 1, foresight_.lag));
        before.push_back(mean_surprise(look, motion, -foresight_.lag, -1) -
                         mean_surprise(look, motion, -3 * foresight_.lag, -2 * foresight_.lag));
      }
    }
    if (of_kind.size() < kFewest || sureness(before, motion) < kSure ||
        strength_of(before, motion) < kLeastStrength * strength_of(found, motion)) {
      return false;
    }
    std::vector<Eigen::VectorXf> first;
    for (Look* look : of_kind) {
      look->begin -= std::min<std::size_t>(look->begin, static_cast<std::size_t>(foresight_.lag));
      first.push_back(mean_surprise(*look, motion, 0, foresight_.lag - 1));
    }
    patterns_[kind] = pattern_of(middle_of(first), motion);
    learn_noise(quiet, motion, patterns_[kind]);
    for (Look* look : of_kind) {
      look->amount = amounts(read(look->frames), motion, patterns_[kind], -1);
      const std::size_t begin =
          first_run(look->amount, look->begin > 2 ? look->begin - 2 : 0, patterns_[kind].least);
      const bool near = begin < look->begin + static_cast<std::size_t>(2 * foresight_.lag);
      look->begin = near ? begin : look->begin;
    }
    return true;
  }

  /// Presses that show a picture earlier what the others show first begin there.
  void agree_on_first(const std::vector<LevelWindow>& quiet, const OrdinaryMotion& motion,
                      std::size_t kind) {
    constexpr double kThere = 0.4;
    constexpr double kSure = 3;
    std::vector<Look*> of_kind;
    std::vector<Eigen::VectorXf> first;
    for (Look& look : looks_) {
      if (look.found && look.kind == kind) {
        of_kind.push_back(&look);
        first.push_back(mean_surprise(look, motion, 1, foresight_.lag));
      }
    }
    if (of_kind.size() < 3) {
      return;
    }
    Pattern& pattern = patterns_[kind];
    pattern = pattern_of(middle_of(first), motion);
    learn_noise(quiet, motion, pattern);
    for (Look* look : of_kind) {
      const double before = pattern.filter.dot(mean_surprise(*look, motion, -foresight_.lag, -1)) -
                            pattern.filter.dot(mean_surprise(*look, motion, -3 * foresight_.lag,
                                                             -2 * foresight_.lag));
      if (before > std::max<double>(kThere, kSure * pattern.noise)) {
        look->begin -= std::min<std::size_t>(look->begin, static_cast<std::size_t>(foresight_.lag));
      }
    }
  }

  /// How many standard errors the halves of `all` agree by.
  static double sureness(const std::vector<Eigen::VectorXf>& all, const OrdinaryMotion& motion) {
    std::array<Eigen::VectorXf, 2> halves;
    halves.fill(Eigen::VectorXf::Zero(all.front().size()));
    for (std::size_t k = 0; k < all.size(); ++k) {
      halves[k % 2] += all[k];
    }
    double sum = 0;
    double squares = 0;
    const std::array<Eigen::VectorXf, 2> filters = {motion.weighed(halves[0]).normalized(),
                                                    motion.weighed(halves[1]).normalized()};
    for (std::size_t k = 0; k < all.size(); ++k) {
      const double score = filters[1 - k % 2].dot(all[k]);
      sum += score;
      squares += score * score;
    }
    const auto n = static_cast<double>(all.size());
    const double variance = std::max(0.0, squares / n - sum * sum / n / n);
    return sum / n / std::sqrt(variance / (n - 1) + 1e-18);
  }

  /// What the first picture of this press shows in the cells, where that stands out by itself, or
  /// else what it shows in all presses.
  Pattern first_picture_of(const Look& look, const OrdinaryMotion& motion) const {
    constexpr float kClear = 2;
    const Eigen::VectorXf own = mean_surprise(look, motion, 1, foresight_.lag);
    const bool clear =
        greatest_block(own.cwiseProduct(motion.weighed(own))) > kClear * least_surprise_;
    return clear ? pattern_of(own, motion) : patterns_[look.kind];
  }

  ChangeTrace trace_of(const Look& look, const OrdinaryMotion& motion) const {
    const std::vector<float> amount =
        amounts(read(look.frames), motion, first_picture_of(look, motion), -1);
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
  void place(const std::vector<std::size_t>& of, const OrdinaryMotion& motion,
             ChangeAnswer& answer) const {
    std::vector<ChangeTrace> traces;
    traces.reserve(of.size());
    for (const std::size_t k : of) {
      traces.push_back(trace_of(looks_[k], motion));
    }
    const FirstPictures first = place_first_pictures(
        traces, {interval_s_, question_.exposure_s, question_.film->lossless(), usual_noise()});
    answer.decay_s = first.decay_s;
    constexpr double kModel = 0.25;  // of a frame: exposure, rows and coding are known so well
    answer.shared_u_s = std::hypot(first.shared_u_s, kModel * interval_s_);
    answer.slow = first.hidden || may_hide(first.growth, strength_of(of));
    for (std::size_t i = 0; i < of.size(); ++i) {
      answer.changes[of[i]] = change_of(first.changes[i], looks_[of[i]], answer);
    }
  }

  void place_all(const OrdinaryMotion& motion, ChangeAnswer& answer) const {
    std::vector<std::size_t> rare;
    std::vector<std::size_t> usual;
    for (std::size_t k = 0; k < looks_.size(); ++k) {
      if (looks_[k].found) {
        (is_rare(looks_[k].kind) ? rare : usual).push_back(k);
      }
    }
    if (!rare.empty()) {
      place(rare, motion, answer);
    }
    if (!usual.empty()) {
      place(usual, motion, answer);
    }
    answer.row_px = changing_row();
    doubt_the_odd(answer);
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
      const Look& look = looks_[k];
      const auto first = static_cast<std::ptrdiff_t>(look.begin);
      const auto last = std::min<std::ptrdiff_t>(first + foresight_.lag, std::ssize(look.surprise));
      surprises.push_back(
          quantile({look.surprise.begin() + first, look.surprise.begin() + last}, 0.5) /
          least_surprise_);
      patterns.push_back(quantile({look.amount.begin() + first, look.amount.begin() + last}, 0.5) /
                         patterns_[look.kind].least);
    }
    return {quantile(surprises, 0.5), quantile(patterns, 0.5)};
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
    const bool alone = looks_.size() < kEnoughToTell && !is_clear(look);
    const bool odd = placed.misfit > std::max(4.0 * usual_noise(), 0.35);
    change.doubtful = answer.slow || odd || alone || placed.stirs_before || is_rare(look.kind) ||
                      stirs_before(look, placed.begin_s);
    return change;
  }

  /// Whether the change is plain in this press alone.
  bool is_clear(const Look& look) const {
    constexpr float kClear = 5;
    const std::size_t at = std::min(look.begin + static_cast<std::size_t>(foresight_.lag) - 1,
                                    look.surprise.size() - 1);
    return look.surprise[at] > kClear * least_surprise_;
  }

  /// Whether so few presses show this that it may have nothing to do with them.
  bool is_rare(std::size_t kind) const {
    constexpr double kFew = 0.12;
    constexpr double kFewOfAll = 0.3;
    const auto found =
        std::count_if(looks_.begin(), looks_.end(), [](const Look& look) { return look.found; });
    const auto alike = std::count_if(looks_.begin(), looks_.end(), [kind](const Look& look) {
      return look.found && look.kind == kind;
    });
    const auto all = static_cast<double>(looks_.size());
    return looks_.size() >= kEnoughToTell && (static_cast<double>(alike) < kFew * all ||
                                              static_cast<double>(found) < kFewOfAll * all);
  }

  /// Whether something is out of the ordinary just before the change: it may be its beginning. What
  /// comes earlier and looks otherwise than the answers do is none.
  bool stirs_before(const Look& look, double begin_s) const {
    const std::int64_t until = frame_at(begin_s - 1.5 * interval_s_) - look.frames.first;
    const std::int64_t from =
        std::max<std::int64_t>(static_cast<std::int64_t>(look.pressed), until - 2 * foresight_.lag);
    const std::size_t run =
        first_run(look.surprise, static_cast<std::size_t>(from), 1.5F * least_surprise_);
    return static_cast<std::int64_t>(run) + 2 < until;
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

  double usual_noise() const {
    std::vector<float> all;
    for (const Look& look : looks_) {
      if (look.found) {
        all.push_back(patterns_[look.kind].noise);
      }
    }
    return quantile(all, 0.5);
  }

  double changing_row() const {
    double sum = 0;
    double rows = 0;
    for (const Look& look : looks_) {
      for (int cell = 0; look.found && cell < question_.layout.cells(); ++cell) {
        const Pattern& pattern = patterns_[look.kind];
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
  std::vector<Look> looks_;
  float least_surprise_ = 0;
  std::vector<Pattern> patterns_;
};

}  // namespace

ChangeAnswer find_changes(const ChangeQuestion& question) {
  return ChangeFinder(question).answer();
}

}  // namespace thumblight::onset
