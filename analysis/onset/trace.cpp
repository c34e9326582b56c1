#include "analysis/onset/trace.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace thumblight::onset {
namespace {

constexpr double kBin_s = 0.0005;
constexpr std::size_t kPlateau = 4;  ///< bins compared on each side of an edge
constexpr std::size_t kGap = 1;      ///< bins left out at the edge itself
constexpr std::size_t kReach = kPlateau + kGap;
constexpr double kApart_s = 0.020;  ///< what comes sooner after an edge belongs to it (bounce)

/// Typical size of values from how often each power of two comes; no value is kept.
class SizeCensus {
 public:
  void add(double value) {
    const double size = std::abs(value);
    const int exponent =
        size > 0 ? std::clamp(std::ilogb(size) * 2 +
                                  (size > 1.5 * std::ldexp(1.0, std::ilogb(size)) ? 1 : 0) + 128,
                              0, 255)
                 : 0;
    ++counts_[static_cast<std::size_t>(exponent)];
    ++total_;
  }
  double quantile(double share) const {
    std::int64_t sum = 0;
    for (std::size_t i = 0; i < counts_.size(); ++i) {
      sum += counts_[i];
      if (static_cast<double>(sum) >= share * static_cast<double>(total_)) {
        return i == 0 ? 0 : std::ldexp(1.25, (static_cast<int>(i) - 128) / 2);
      }
    }
    return 0;
  }

 private:
  std::array<std::int64_t, 256> counts_{};
  std::int64_t total_ = 0;
};

/// One channel in bins of half a millisecond; looks for the bins where the level leaps.
class EdgeFinder {
 public:
  void take(double time_s, double value) {
    if (count_ > 0 && time_s >= bin_end_s_) {
      close_bin(bin_end_s_ - kBin_s);
      bin_end_s_ += kBin_s * std::max(1.0, std::floor((time_s - bin_end_s_) / kBin_s) + 1);
      sum_ = 0;
      count_ = 0;
    } else if (count_ == 0 && bins_ == 0) {
      bin_end_s_ = time_s + kBin_s;
    }
    sum_ += value;
    ++count_;
  }

  ChannelSketch finish() {
    if (count_ > 0) {
      close_bin(bin_end_s_ - kBin_s);
    }
    settle();
    ChannelSketch sketch;
    sketch.noise = census_.quantile(0.5) / 0.6745;
    sketch.greatest = greatest_;
    for (const TraceEdge& edge : edges_) {
      const double least = std::max(8 * sketch.noise, 0.2 * greatest_);
      if (std::abs(edge.height) >= least) {
        sketch.edges.push_back(edge);
      }
    }
    return sketch;
  }

 private:
  void close_bin(double begin_s) {
    const std::size_t slot = bins_ % kRing;
    level_[slot] = sum_ / static_cast<double>(count_);
    time_s_[slot] = begin_s;
    ++bins_;
    if (bins_ > 2 * kReach) {
      compare();
    }
  }

  double mean(std::size_t first) const {
    double sum = 0;
    for (std::size_t i = first; i < first + kPlateau; ++i) {
      sum += level_[i % kRing];
    }
    return sum / static_cast<double>(kPlateau);
  }

  /// The step at the boundary `kReach` bins back, against the greatest near it.
  void compare() {
    const std::size_t boundary = bins_ - kReach;
    const double height = mean(boundary + kGap) - mean(boundary - kReach);
    census_.add(height);
    const double here_s = time_s_[boundary % kRing];
    if (std::abs(height) > std::abs(candidate_.height) && here_s < candidate_s_ + kApart_s / 2) {
      candidate_.height = height;
      candidate_.time_s = here_s;
    } else if (here_s >= candidate_s_ + kApart_s / 2) {
      settle();
      candidate_s_ = here_s;
      candidate_ = {here_s, height};
    }
  }

  /// The candidate becomes an edge if it stands out of what is known so far.
  void settle() {
    const double least = std::max(7 * census_.quantile(0.5) / 0.6745, 0.1 * greatest_);
    const double size = std::abs(candidate_.height);
    if (size <= least || size <= 1e-9) {
      return;
    }
    const bool beside = !edges_.empty() &&
                        candidate_.time_s - edges_.back().time_s < kApart_s / 2 &&
                        (candidate_.height > 0) == (edges_.back().height > 0);
    if (beside) {
      if (size > std::abs(edges_.back().height)) {
        edges_.back() = candidate_;
      }
    } else {
      edges_.push_back(candidate_);
    }
    greatest_ = std::max(greatest_, size);
  }

  static constexpr std::size_t kRing = 32;
  std::array<double, kRing> level_{};
  std::array<double, kRing> time_s_{};
  std::size_t bins_ = 0;
  double sum_ = 0;
  std::int64_t count_ = 0;
  double bin_end_s_ = 0;
  SizeCensus census_;
  TraceEdge candidate_;
  double candidate_s_ = -1e18;
  double greatest_ = 0;
  std::vector<TraceEdge> edges_;
};

}  // namespace

TraceSketch sketch_trace(TraceSource& source, const Progress& progress) {
  TraceSketch sketch;
  std::vector<EdgeFinder> finders(static_cast<std::size_t>(source.channels()));
  TraceSource::Sample sample;
  double usual_s = 0;
  while (source.next(sample)) {
    if (sketch.samples == 0) {
      sketch.first_s = sample.time_s;
    } else {
      const double step_s = sample.time_s - sketch.last_s;
      sketch.gaps += sketch.samples > 16 && step_s > 3 * usual_s + 1e-4 ? 1 : 0;
      usual_s += (step_s - usual_s) / std::min(static_cast<double>(sketch.samples), 256.0);
    }
    for (std::size_t channel = 0; channel < finders.size(); ++channel) {
      finders[channel].take(sample.time_s, static_cast<double>(sample.value[channel]));
    }
    sketch.last_s = sample.time_s;
    ++sketch.samples;
    if (progress && sketch.samples % 262'144 == 0) {
      progress(static_cast<double>(sketch.samples), source.expected());
    }
  }
  for (EdgeFinder& finder : finders) {
    sketch.channels.push_back(finder.finish());
  }
  return sketch;
}

}  // namespace thumblight::onset
