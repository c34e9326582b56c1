#include "analysis/onset/step_posterior.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::onset {
namespace {

/// Mean of a weight over a stretch on which its logarithm rises straight by `rise`.
double mean_weight(double low, double high, double rise) {
  return std::abs(rise) < 1e-6 ? (low + high) / 2 : (high - low) / rise;
}

}  // namespace

StepPosterior::StepPosterior(const StepLikelihood& likelihood, double first, double last)
    : likelihood_(likelihood) {
  constexpr int kCoarse = 28;
  samples_.reserve(256);
  for (int i = 0; i <= kCoarse; ++i) {
    take(first + (last - first) * i / kCoarse);
  }
  for (const double place : likelihood_.candidates(12)) {
    if (place > first && place < last) {
      take(place);
    }
  }
  sort();
  std::vector<std::pair<double, double>> around;
  for (const std::size_t peak : peaks()) {
    around.emplace_back(samples_[peak - 1].place, samples_[peak + 1].place);
  }
  for (const auto& [low, high] : around) {
    climb(low, high);
  }
  sort();
  refine();
}

void StepPosterior::take(double place) {
  samples_.push_back({place, likelihood_(place), 0});
  best_ = std::max(best_, samples_.back().log);
}

void StepPosterior::sort() {
  std::sort(samples_.begin(), samples_.end());
}

/// Puts the samples from `added` on, in order themselves, among those before them.
void StepPosterior::merge_from(std::size_t added) {
  std::inplace_merge(samples_.begin(), samples_.begin() + static_cast<std::ptrdiff_t>(added),
                     samples_.end());
}

void StepPosterior::weigh() {
  for (Sample& sample : samples_) {
    sample.weight = std::exp(sample.log - best_);
  }
}

/// The best local maxima, at most three.
std::vector<std::size_t> StepPosterior::peaks() const {
  constexpr double kHopeless = 12;
  std::vector<std::size_t> found;
  for (std::size_t i = 1; i + 1 < samples_.size(); ++i) {
    if (samples_[i].log >= samples_[i - 1].log && samples_[i].log > samples_[i + 1].log &&
        samples_[i].log > best_ - kHopeless) {
      found.push_back(i);
    }
  }
  std::sort(found.begin(), found.end(),
            [this](std::size_t a, std::size_t b) { return samples_[a].log > samples_[b].log; });
  found.resize(std::min<std::size_t>(found.size(), 3));
  return found;
}

/// Towards the top between two samples, by golden section; every step of it is a sample.
void StepPosterior::climb(double low, double high) {
  constexpr double kGolden = 0.381966;
  double a = low + kGolden * (high - low);
  double b = high - kGolden * (high - low);
  take(a);
  double log_a = samples_.back().log;
  take(b);
  double log_b = samples_.back().log;
  for (int i = 0; i < 5; ++i) {
    const bool left = log_a > log_b;
    (left ? high : low) = left ? b : a;
    (left ? b : a) = left ? a : b;
    (left ? log_b : log_a) = left ? log_a : log_b;
    const double next = left ? low + kGolden * (high - low) : high - kGolden * (high - low);
    take(next);
    (left ? log_a : log_b) = samples_.back().log;
  }
}

/// Halves every stretch that holds more than a little of the likelihood and is not yet known to be
/// even, until none is left.
void StepPosterior::refine() {
  constexpr int kRounds = 9;
  constexpr double kEven = 0.35;
  constexpr double kLittle = 2e-3;
  for (int round = 0; round < kRounds; ++round) {
    weigh();
    const double whole = total();
    const std::size_t known = samples_.size();
    for (std::size_t i = 0; i + 1 < known; ++i) {
      const double change = std::abs(samples_[i + 1].log - samples_[i].log);
      const double width = samples_[i + 1].place - samples_[i].place;
      const double most = width * std::max(samples_[i].weight, samples_[i + 1].weight);
      if ((change > kEven && most > kLittle * whole) || most > 0.1 * whole) {
        take(samples_[i].place + width / 2);
      }
    }
    if (samples_.size() == known) {
      return;
    }
    merge_from(known);
  }
  weigh();
}

/// Of the likelihood between sample `i` and the next, relative to the best.
double StepPosterior::mass(std::size_t i) const {
  return (samples_[i + 1].place - samples_[i].place) *
         mean_weight(samples_[i].weight, samples_[i + 1].weight,
                     samples_[i + 1].log - samples_[i].log);
}

double StepPosterior::total() const {
  double sum = 0;
  for (std::size_t i = 0; i + 1 < samples_.size(); ++i) {
    sum += mass(i);
  }
  return sum;
}

double StepPosterior::evidence() const {
  return best_ + std::log(total());
}

StepInstant StepPosterior::summary() const {
  struct Stretch {
    double away = 0;
    double mass = 0;
  };
  double mean = 0;
  for (std::size_t i = 0; i + 1 < samples_.size(); ++i) {
    const double part = mass(i);
    const double rise = samples_[i + 1].log - samples_[i].log;
    const double width = samples_[i + 1].place - samples_[i].place;
    // The centre of an exponential stretch lies towards its higher end.
    const double tilt = std::abs(rise) < 1e-3 ? rise / 12 : 1 / std::tanh(rise / 2) / 2 - 1 / rise;
    mean += part * (samples_[i].place + width * (0.5 + tilt));
  }
  mean /= total();
  constexpr int kParts = 4;
  std::vector<Stretch> stretches;
  for (std::size_t i = 0; i + 1 < samples_.size(); ++i) {
    const Sample& low = samples_[i];
    const Sample& high = samples_[i + 1];
    for (int part = 0; part < kParts; ++part) {
      const double share = (part + 0.5) / kParts;
      const double log = low.log + share * (high.log - low.log) - best_;
      stretches.push_back({std::abs(low.place + share * (high.place - low.place) - mean),
                           (high.place - low.place) / kParts * std::exp(log)});
    }
  }
  std::sort(stretches.begin(), stretches.end(),
            [](const Stretch& a, const Stretch& b) { return a.away < b.away; });
  constexpr double kTwoSigma = 0.9545;
  double all = 0;
  for (const Stretch& stretch : stretches) {
    all += stretch.mass;
  }
  double held = 0;
  double reach = 0;
  for (const Stretch& stretch : stretches) {
    if (held >= kTwoSigma * all) {
      break;
    }
    held += stretch.mass;
    reach = stretch.away;
  }
  return {mean, reach / 2};
}

}  // namespace thumblight::onset
