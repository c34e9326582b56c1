#include "analysis/onset/quiet_time.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

#include "analysis/onset/quantile.hpp"
#include "analysis/onset/surprise.hpp"

namespace thumblight::onset {
namespace {

constexpr double kQuiet_s = 0.4;      ///< before a press in which the part moves of its own accord
constexpr double kFirstQuiet_s = 2;   ///< the same before the first press
constexpr double kNoAnswer_s = 0.25;  ///< after a press that is surely not of the next one's quiet
/// What stirs in a block by chance seldom does in the block that stirs most.
constexpr Restless kBlock = {4, 4, 0.65};
constexpr Restless kAll = {2.5, 0, 0.5};
constexpr std::int64_t kMostLearned = 4000;  ///< frames; bounds memory and time

}  // namespace

LevelWindow read_window(const ChangeQuestion& question, const Stretch& stretch) {
  return {stretch.first, question.levels(stretch.first, stretch.last - stretch.first)};
}

QuietTime::QuietTime(const ChangeQuestion& question, const Foresight& foresight)
    : question_(question), foresight_(foresight) {
  const std::vector<double>& press_s = question_.press_s;
  std::vector<Stretch> stretches;
  std::int64_t frames = 0;
  for (std::size_t k = 0; k < press_s.size(); ++k) {
    const double from_s = k == 0 ? press_s[k] - kFirstQuiet_s
                                 : std::max(press_s[k] - kQuiet_s, press_s[k - 1] + kNoAnswer_s);
    const std::int64_t first =
        std::max<std::int64_t>(0, question_.film->first_from(from_s) - foresight_.memory());
    const std::int64_t last = question_.film->first_from(press_s[k]);
    for (const Stretch& piece : pieces({first, last})) {
      stretches.push_back(piece);
      frames += piece.last - piece.first;
    }
  }
  const std::size_t stride = static_cast<std::size_t>(frames / kMostLearned) + 1;
  for (std::size_t k = 0; k < stretches.size(); k += stride) {
    windows_.push_back(read_window(question_, stretches[k]));
  }
}

bool QuietTime::trim(const OrdinaryMotion& motion) {
  std::vector<Eigen::MatrixXf> blocks;
  for (std::size_t w = 0; w < windows_.size(); ++w) {
    const Eigen::MatrixXf surprises = motion.surprises(windows_[w], static_cast<int>(w % 2));
    std::vector<Eigen::VectorXf> sums;
    for (Eigen::Index i = foresight_.memory(); i < surprises.cols(); ++i) {
      const Eigen::VectorXf each = surprises.col(i);
      sums.push_back(block_sums(each.cwiseProduct(motion.weighed(each)), question_.layout));
    }
    // The last row is the greatest of all blocks.
    Eigen::MatrixXf& all = blocks.emplace_back(sums.front().size() + 1, std::ssize(sums));
    for (Eigen::Index i = 0; i < all.cols(); ++i) {
      const Eigen::VectorXf& each = sums[static_cast<std::size_t>(i)];
      all.col(i) << each, each.maxCoeff();
    }
  }
  double calm_s = 0;
  const Eigen::Index rows = blocks.front().rows();
  for (Eigen::Index row = 0; row < rows; ++row) {
    calm_s = std::max(calm_s, calm_after_s(blocks, row, row + 1 == rows ? kAll : kBlock));
  }
  bool trimmed = false;
  for (LevelWindow& window : windows_) {
    const std::int64_t first = question_.film->first_from(press_before_s(window) + calm_s);
    const std::int64_t cut = std::clamp<std::int64_t>(first - window.first, 0, window.frames());
    if (cut > 0) {
      window.levels = window.levels.rightCols(window.frames() - cut).eval();
      window.first += cut;
      trimmed = true;
    }
  }
  const std::int64_t least = foresight_.memory() + foresight_.lag;
  std::vector<LevelWindow> kept;
  std::copy_if(windows_.begin(), windows_.end(), std::back_inserter(kept),
               [least](const LevelWindow& window) { return window.frames() > least; });
  if (!trimmed || kept.empty()) {
    return false;
  }
  windows_ = std::move(kept);
  return true;
}

std::vector<Stretch> QuietTime::pieces(const Stretch& whole) const {
  const std::int64_t memory = foresight_.memory();
  const std::int64_t frames = whole.last - whole.first - memory;
  std::vector<Stretch> parts;
  if (frames <= foresight_.lag) {
    return parts;
  }
  const auto longest =
      static_cast<std::int64_t>(std::ceil(kQuiet_s / question_.film->clock.interval_s)) + 1;
  const std::int64_t count = (frames + longest - 1) / longest;
  for (std::int64_t part = 0; part < count; ++part) {
    parts.push_back(
        {whole.first + frames * part / count, whole.first + memory + frames * (part + 1) / count});
  }
  return parts;
}

double QuietTime::press_before_s(const LevelWindow& window) const {
  const double first_s = question_.film->clock.time_s[static_cast<std::size_t>(window.first)];
  const auto later = std::upper_bound(question_.press_s.begin(), question_.press_s.end(), first_s);
  return later == question_.press_s.begin() ? -1e9 : *std::prev(later);
}

double QuietTime::calm_after_s(const std::vector<Eigen::MatrixXf>& blocks, Eigen::Index block,
                               const Restless& limits) const {
  constexpr double kBin_s = 0.03;
  constexpr std::size_t kBins = 60;
  std::vector<float> all;
  for (const Eigen::MatrixXf& window : blocks) {
    for (Eigen::Index i = 0; i < window.cols(); ++i) {
      all.push_back(window(block, i));
    }
  }
  const float usual = quantile_of(all, 0.5);
  const float restless = std::max(limits.times_usual * usual,
                                  usual + limits.deviations * (quantile_of(all, 0.841) - usual));
  std::vector<double> seen(kBins, 0);
  std::vector<double> stirred(kBins, 0);
  for (std::size_t w = 0; w < windows_.size(); ++w) {
    std::vector<char> stirs(kBins, 0);
    std::vector<char> covers(kBins, 0);
    const double before_s = press_before_s(windows_[w]);
    for (Eigen::Index i = 0; i < blocks[w].cols(); ++i) {
      const std::int64_t frame = windows_[w].first + foresight_.memory() + i;
      const double since_s =
          question_.film->clock.time_s[static_cast<std::size_t>(frame)] - before_s;
      const auto bin = static_cast<std::size_t>(std::min(since_s / kBin_s, 1e6));
      if (bin < kBins) {
        covers[bin] = 1;
        stirs[bin] = blocks[w](block, i) > restless ? 1 : stirs[bin];
      }
    }
    for (std::size_t bin = 0; bin < kBins; ++bin) {
      seen[bin] += covers[bin];
      stirred[bin] += stirs[bin];
    }
  }
  const double fewest = std::max(4.0, 0.3 * static_cast<double>(windows_.size()));
  double calm_s = 0;
  for (std::size_t bin = 0; bin < kBins; ++bin) {
    const double until_s = static_cast<double>(bin + 2) * kBin_s;
    if (seen[bin] >= fewest && stirred[bin] > limits.many * seen[bin] && leaves_enough(until_s)) {
      calm_s = until_s;
    }
  }
  return calm_s;
}

bool QuietTime::leaves_enough(double until_s) const {
  constexpr double kEnough = 0.4;
  std::int64_t all = 0;
  std::int64_t left = 0;
  for (const LevelWindow& window : windows_) {
    const std::int64_t last = window.first + window.frames();
    all += std::max<std::int64_t>(0, window.frames() - foresight_.memory());
    const std::int64_t from =
        std::max(window.first, question_.film->first_from(press_before_s(window) + until_s));
    left += std::max<std::int64_t>(0, last - from - foresight_.memory());
  }
  return static_cast<double>(left) > kEnough * static_cast<double>(all);
}
}  // namespace thumblight::onset
