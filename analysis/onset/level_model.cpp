#include "analysis/onset/level_model.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

namespace thumblight::onset {
namespace {

bool is_before(double t_s, const LevelWindows& windows) {
  return t_s < windows.before_end_s;
}
bool is_after(double t_s, const LevelWindows& windows) {
  return t_s >= windows.after_begin_s;
}

/// One row of the linear model at a frame: constant, step, then whatever terms are wanted.
Eigen::RowVectorXd terms_at(double t_s, double share, double middle_s, const LevelTerms& terms) {
  const Eigen::Index size = 2 + (terms.trend ? 1 : 0) + (terms.flicker_hz > 0 ? 2 : 0);
  Eigen::RowVectorXd row(size);
  row(0) = 1;
  row(1) = share;
  Eigen::Index at = 2;
  if (terms.trend) {
    row(at++) = t_s - middle_s;
  }
  if (terms.flicker_hz > 0) {
    const double angle = 2 * std::numbers::pi * terms.flicker_hz * (t_s - middle_s);
    row(at++) = std::cos(angle);
    row(at) = std::sin(angle);
  }
  return row;
}

struct Fit {
  Eigen::VectorXd terms;
  double squares = 0;
  int freedom = 0;
  int before = 0;
  int after = 0;
};

double middle_of(const LevelWindows& windows) {
  return (windows.before_end_s + windows.after_begin_s) / 2;
}

std::optional<Fit> fit(const std::vector<double>& start_s, const std::vector<double>& level,
                       const LevelWindows& windows, const LevelTerms& terms) {
  std::vector<std::size_t> settled;
  Fit result;
  for (std::size_t i = 0; i < start_s.size(); ++i) {
    result.before += is_before(start_s[i], windows) ? 1 : 0;
    result.after += is_after(start_s[i], windows) ? 1 : 0;
    if (is_before(start_s[i], windows) || is_after(start_s[i], windows)) {
      settled.push_back(i);
    }
  }
  const Eigen::Index columns = terms_at(0, 0, 0, terms).size();
  result.freedom = static_cast<int>(settled.size()) - static_cast<int>(columns);
  if (result.before < 2 || result.after < 2 || result.freedom < 1) {
    return std::nullopt;
  }
  Eigen::MatrixXd design(static_cast<Eigen::Index>(settled.size()), columns);
  Eigen::VectorXd values(static_cast<Eigen::Index>(settled.size()));
  for (std::size_t k = 0; k < settled.size(); ++k) {
    const double t_s = start_s[settled[k]];
    const auto row = static_cast<Eigen::Index>(k);
    design.row(row) = terms_at(t_s, is_after(t_s, windows) ? 1.0 : 0.0, middle_of(windows), terms);
    values(row) = level[settled[k]];
  }
  result.terms = design.colPivHouseholderQr().solve(values);
  result.squares = (design * result.terms - values).squaredNorm();
  return result;
}

double noise_of(double squares, int frames, double freedom_share) {
  return std::sqrt(squares / std::max(1.0, frames * freedom_share));
}

}  // namespace

double split_s(const std::vector<double>& start_s, const std::vector<double>& level,
               double about_s) {
  constexpr double kNear_s = 0.03;
  double best_s = about_s;
  double greatest = -1e300;
  for (std::size_t at = 1; at < level.size(); ++at) {
    double contrast = 0;
    if (std::abs(start_s[at] - about_s) > kNear_s) {
      continue;
    }
    double before = 0;
    double after = 0;
    double before_count = 0;
    double after_count = 0;
    for (std::size_t i = 0; i < level.size(); ++i) {
      if (std::abs(start_s[i] - start_s[at]) < kNear_s) {
        (i < at ? before : after) += level[i];
        (i < at ? before_count : after_count) += 1;
      }
    }
    if (before_count > 0 && after_count > 0) {
      contrast = (after / after_count - before / before_count) *
                 std::sqrt(before_count * after_count / (before_count + after_count));
    }
    if (contrast > greatest) {
      greatest = contrast;
      best_s = start_s[at];
    }
  }
  return best_s;
}

LevelWindows windows_for(const std::vector<double>& start_s, const std::vector<double>& level,
                         double about_s, double unsettled_s, double frame_s) {
  LevelWindows windows{about_s - unsettled_s - frame_s, about_s + unsettled_s + frame_s};
  if (start_s.empty()) {
    return windows;
  }
  const double end_s = start_s.back();
  double before = 0;
  double after = 0;
  double before_count = 0;
  double after_count = 0;
  const double late_s = windows.after_begin_s + 0.6 * (end_s - windows.after_begin_s);
  for (std::size_t i = 0; i < start_s.size(); ++i) {
    const bool early = start_s[i] < windows.before_end_s;
    const bool late = start_s[i] >= late_s;
    before += early ? level[i] : 0;
    before_count += early ? 1 : 0;
    after += late ? level[i] : 0;
    after_count += late ? 1 : 0;
  }
  if (before_count < 1 || after_count < 1) {
    return windows;
  }
  // The rise is over where the mean of what follows up to the late part is within 2 % of it.
  constexpr double kSettled = 0.02;
  const double height = after / after_count - before / before_count;
  double unsettled_until_s = windows.after_begin_s;
  for (std::size_t i = 1; i + 1 < start_s.size(); ++i) {
    const double smooth = (level[i - 1] + level[i] + level[i + 1]) / 3;
    if (start_s[i] > about_s && start_s[i] < late_s &&
        smooth < after / after_count - kSettled * height) {
      unsettled_until_s = std::max(unsettled_until_s, start_s[i] + frame_s);
    }
  }
  // Noise or a ripple may look unsettled to the end: the late part always counts.
  windows.after_begin_s = std::min(unsettled_until_s + unsettled_s / 2, late_s);
  return windows;
}

LevelTerms choose_terms(const std::vector<LevelSeries>& all) {
  /// Variance per degree of freedom over all steps; nothing where no step can be fitted.
  const auto variance = [&all](const LevelTerms& terms) {
    double squares = 0;
    double freedom = 0;
    for (const LevelSeries& series : all) {
      const std::optional<Fit> found = fit(series.start_s, series.level, series.windows, terms);
      squares += found ? found->squares : 0;
      freedom += found ? found->freedom : 0;
    }
    return freedom > 0 ? squares / freedom : 0;
  };
  constexpr double kWorthIt = 0.85;
  // Of full light; less than this is a coder's doing, whatever its frequency, and moves nothing.
  constexpr double kRipple = 0.0015;
  LevelTerms best;
  double least = variance(best);
  for (const LevelTerms& terms :
       {LevelTerms{true, 0}, LevelTerms{false, 100}, LevelTerms{false, 120}, LevelTerms{true, 100},
        LevelTerms{true, 120}}) {
    const double reached = variance(terms);
    const bool ripples = std::sqrt(std::max(0.0, least - reached)) > kRipple;
    if (reached < kWorthIt * least && (terms.flicker_hz == 0 || ripples)) {
      best = terms;
      least = reached;
    }
  }
  return best;
}

std::optional<Levels> fit_levels(const std::vector<double>& start_s,
                                 const std::vector<double>& level, const LevelWindows& windows,
                                 const LevelTerms& terms) {
  const std::optional<Fit> found = fit(start_s, level, windows, terms);
  if (!found || !(found->terms(1) > 1e-6)) {
    return std::nullopt;
  }
  Levels levels;
  levels.before = found->terms(0);
  levels.height = found->terms(1);
  double squares_before = 0;
  double squares_after = 0;
  for (std::size_t i = 0; i < start_s.size(); ++i) {
    Eigen::RowVectorXd row = terms_at(start_s[i], 0, middle_of(windows), terms);
    const double share = (level[i] - row.dot(found->terms)) / levels.height;
    const bool before = is_before(start_s[i], windows);
    const bool after = is_after(start_s[i], windows);
    levels.share.push_back(static_cast<float>(share));
    levels.residual.push_back(share - (after ? 1 : 0));
    squares_before += before ? share * share : 0;
    squares_after += after ? (share - 1) * (share - 1) : 0;
  }
  const double settled = found->before + found->after;
  const double freedom_share = found->freedom / settled;
  levels.noise_before = noise_of(squares_before, found->before, freedom_share);
  levels.noise_after = noise_of(squares_after, found->after, freedom_share);
  return levels;
}

double likeness_of(const std::vector<Levels>& places, const LevelWindows& windows,
                   const std::vector<double>& start_s) {
  const auto n = static_cast<double>(places.size());
  double of_mean = 0;
  double mean_of = 0;
  for (std::size_t i = 0; i < start_s.size(); ++i) {
    if (!is_before(start_s[i], windows) && !is_after(start_s[i], windows)) {
      continue;
    }
    double sum = 0;
    for (const Levels& place : places) {
      sum += place.residual[i];
      mean_of += place.residual[i] * place.residual[i] / n;
    }
    of_mean += sum * sum / (n * n);
  }
  return mean_of > 0 ? std::clamp(n * of_mean / mean_of, 1.0, n) : 1;
}

double persistence_of(const std::vector<Levels>& places, const LevelWindows& windows,
                      const std::vector<double>& start_s) {
  constexpr std::size_t kLags = 8;
  double square = 0;
  std::array<double, kLags> products{};
  for (const Levels& place : places) {
    for (std::size_t i = 0; i < start_s.size(); ++i) {
      const bool before = is_before(start_s[i], windows);
      if (!before && !is_after(start_s[i], windows)) {
        continue;
      }
      square += place.residual[i] * place.residual[i];
      for (std::size_t lag = 1; lag <= kLags && lag <= i; ++lag) {
        const double other = start_s[i - lag];
        if (before ? is_before(other, windows) : is_after(other, windows)) {
          products[lag - 1] += place.residual[i] * place.residual[i - lag];
        }
      }
    }
  }
  double factor = 1;
  for (std::size_t lag = 0; lag < kLags && square > 0; ++lag) {
    const double correlation = products[lag] / square;
    if (correlation < 0.05) {
      break;
    }
    factor += 2 * correlation;
  }
  return factor;
}

double half_crossing_s(const FilmedStep& step) {
  const std::size_t frames = step.start_s.size();
  std::vector<double> mean(frames, 0);
  for (const PlaceSeries& place : step.places) {
    for (std::size_t i = 0; i < frames; ++i) {
      mean[i] += static_cast<double>(place.share[i]) / static_cast<double>(step.places.size());
    }
  }
  // The crossing after which the level stays up longest, so that no flicker before it counts.
  std::size_t best = 0;
  double best_contrast = -1e9;
  double sum = 0;
  double total = 0;
  for (const double share : mean) {
    total += share - 0.5;
  }
  for (std::size_t i = 0; i < frames; ++i) {
    if (total - 2 * sum > best_contrast) {
      best_contrast = total - 2 * sum;
      best = i;
    }
    sum += mean[i] - 0.5;
  }
  return step.start_s[std::min(best, frames - 1)];
}

}  // namespace thumblight::onset
