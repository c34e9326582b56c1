#include "analysis/onset/cell_steps.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace thumblight::onset {
namespace {

constexpr double kBin_s = 0.008;      ///< frames are averaged over about this long
constexpr double kPlateau_s = 0.040;  ///< levels are compared over about this long on each side
constexpr std::int64_t kBinsAtOnce = 384;

/// The film as bins of a few frames.
class Bins {
 public:
  explicit Bins(Film& film)
      : film_(film),
        frames_each_(std::max<std::int64_t>(
            1, std::llround(kBin_s / std::max(film.clock.interval_s, 1e-6)))) {}

  std::int64_t count() const { return film_.frames() / frames_each_; }
  std::size_t cells() const { return static_cast<std::size_t>(film_.levels->cells()); }
  double duration_s() const { return static_cast<double>(frames_each_) * film_.clock.interval_s; }
  /// The instant at which bin `bin` begins.
  double begin_s(double bin) const {
    const auto whole = static_cast<std::int64_t>(bin);
    const std::int64_t frame =
        std::clamp<std::int64_t>(whole * frames_each_, 0, film_.frames() - 1);
    return film_.clock.time_s[static_cast<std::size_t>(frame)] +
           (bin - static_cast<double>(whole)) * duration_s();
  }
  /// Means of `bins` bins from `first` on, all cells of a bin after another.
  std::vector<float> read(std::int64_t first, std::int64_t bins) const {
    const std::vector<float> raw = film_.levels->read(first * frames_each_, bins * frames_each_);
    std::vector<float> means(static_cast<std::size_t>(bins) * cells(), 0.0F);
    const float part = 1.0F / static_cast<float>(frames_each_);
    for (std::size_t i = 0; i < raw.size(); ++i) {
      const std::size_t frame = i / cells();
      means[frame / static_cast<std::size_t>(frames_each_) * cells() + i % cells()] +=
          raw[i] * part;
    }
    return means;
  }

 private:
  Film& film_;
  std::int64_t frames_each_;
};

/// Noise of each cell's bins, from the median change of neighbouring bins over the whole film.
std::vector<float> bin_noise(const Bins& bins) {
  constexpr std::int64_t kPairs = 240;
  const std::int64_t pairs = std::min(kPairs, bins.count() - 1);
  std::vector<std::vector<float>> changes(bins.cells());
  for (std::int64_t k = 0; k < pairs; ++k) {
    const std::vector<float> two =
        bins.read(k * (bins.count() - 2) / std::max<std::int64_t>(pairs, 1), 2);
    for (std::size_t cell = 0; cell < bins.cells(); ++cell) {
      changes[cell].push_back(std::abs(two[cell + bins.cells()] - two[cell]));
    }
  }
  std::vector<float> noise(bins.cells(), 0.0F);
  for (std::size_t cell = 0; cell < bins.cells(); ++cell) {
    std::vector<float>& sorted = changes[cell];
    if (!sorted.empty()) {
      const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
      std::nth_element(sorted.begin(), middle, sorted.end());
      noise[cell] = *middle / (0.6745F * 1.4142F);
    }
  }
  return noise;
}

class Detector {
 public:
  explicit Detector(const Bins& bins) : bins_(bins), noise_(bin_noise(bins)) {
    plateau_ = std::max<std::int64_t>(bins.duration_s() > 0.02 ? 2 : 3,
                                      std::llround(kPlateau_s / bins.duration_s()));
  }

  std::vector<CellTrain> find() {
    std::vector<CellTrain> trains(bins_.cells());
    const std::int64_t margin = reach() + plateau_;
    for (std::int64_t first = 0; first < bins_.count(); first += kBinsAtOnce) {
      const std::int64_t from = std::max<std::int64_t>(0, first - margin);
      const std::int64_t to = std::min(bins_.count(), first + kBinsAtOnce + margin);
      levels_ = bins_.read(from, to - from);
      from_ = from;
      to_ = to;
      for (std::size_t cell = 0; cell < bins_.cells(); ++cell) {
        scan(cell, first, std::min(first + kBinsAtOnce, bins_.count()), trains[cell]);
      }
    }
    return trains;
  }

 private:
  static constexpr std::int64_t kGap = 1;  ///< bins left out on each side of a boundary

  std::int64_t reach() const { return plateau_ + kGap; }

  float level(std::size_t cell, std::int64_t bin) const {
    return levels_[static_cast<std::size_t>(bin - from_) * bins_.cells() + cell];
  }

  float mean(std::size_t cell, std::int64_t first) const {
    float sum = 0;
    for (std::int64_t bin = first; bin < first + plateau_; ++bin) {
      sum += level(cell, bin);
    }
    return sum / static_cast<float>(plateau_);
  }

  /// Height of the step at the boundary before `bin`.
  float height(std::size_t cell, std::int64_t bin) const {
    return mean(cell, bin + kGap) - mean(cell, bin - kGap - plateau_);
  }

  void scan(std::size_t cell, std::int64_t first, std::int64_t last, CellTrain& train) {
    constexpr float kLeast = 0.004F;
    const float threshold =
        std::max(kLeast, 7 * noise_[cell] * std::sqrt(2.0F / static_cast<float>(plateau_)));
    const std::int64_t begin = from_ + reach();
    const std::int64_t end = to_ - reach();
    heights_.clear();
    for (std::int64_t bin = begin; bin < end; ++bin) {
      heights_.push_back(height(cell, bin));
    }
    for (std::int64_t bin = std::max(first, begin); bin < std::min(last, end); ++bin) {
      const std::int64_t at = bin - begin;
      const float here = heights_[static_cast<std::size_t>(at)];
      if (std::abs(here) > threshold && is_greatest(at, here)) {
        const CellStep step{bins_.begin_s(crossing(cell, bin)), std::abs(here)};
        (here > 0 ? train.ups : train.downs).push_back(step);
      }
    }
  }

  bool is_greatest(std::int64_t at, float here) const {
    const std::int64_t size = static_cast<std::int64_t>(heights_.size());
    for (std::int64_t i = std::max<std::int64_t>(0, at - plateau_);
         i < std::min(size, at + plateau_ + 1); ++i) {
      const float other = heights_[static_cast<std::size_t>(i)];
      if ((other > 0) != (here > 0)) {
        continue;
      }
      if (std::abs(other) > std::abs(here) || (std::abs(other) == std::abs(here) && i < at)) {
        return false;
      }
    }
    return true;
  }

  /// Where the bins near the boundary pass half of the step, as a bin with a fraction.
  double crossing(std::size_t cell, std::int64_t bin) const {
    const float before = mean(cell, bin - kGap - plateau_);
    const float after = mean(cell, bin + kGap);
    const float half = (before + after) / 2;
    const bool up = after > before;
    const std::int64_t last = std::min(bin + plateau_ + 1, to_ - 1);
    for (std::int64_t i = bin - plateau_; i < last; ++i) {
      const float here = level(cell, i);
      const float next = level(cell, i + 1);
      if ((here < half) == up && (next >= half) == up) {
        // A bin's level is that of its middle.
        const double part = next != here ? (half - here) / (next - here) : 0.5;
        return static_cast<double>(i) + 0.5 + part;
      }
    }
    return static_cast<double>(bin);
  }

  const Bins& bins_;
  std::vector<float> noise_;
  std::int64_t plateau_ = 5;
  std::vector<float> levels_;
  std::int64_t from_ = 0;
  std::int64_t to_ = 0;
  std::vector<float> heights_;
};

}  // namespace

std::vector<CellTrain> find_cell_steps(Film& film) {
  const Bins bins(film);
  if (bins.count() < 8) {
    return std::vector<CellTrain>(static_cast<std::size_t>(film.levels->cells()));
  }
  return Detector(bins).find();
}

}  // namespace thumblight::onset
