#include "analysis/onset/change_pattern.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "analysis/onset/quantile.hpp"
#include "analysis/onset/surprise.hpp"

namespace thumblight::onset {

ChangePattern pattern_of(const Eigen::VectorXf& cells, const OrdinaryMotion& motion) {
  ChangePattern pattern;
  pattern.cells = cells;
  pattern.filter = motion.weighed(cells);
  pattern.filter /= std::max(cells.dot(pattern.filter), 1e-12F);
  return pattern;
}

Eigen::VectorXf middle_of(const std::vector<Eigen::VectorXf>& all) {
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
    middle[cell] = quantile_of(values, 0.5);
  }
  return middle;
}

std::vector<float> amounts_of(const ChangePattern& pattern, const LevelWindow& window,
                              const OrdinaryMotion& motion, int fold) {
  const Eigen::VectorXf all = motion.surprises(window, fold).transpose() * pattern.filter;
  return {all.data(), all.data() + all.size()};
}

void learn_noise(const std::vector<LevelWindow>& quiet, const OrdinaryMotion& motion,
                 std::int64_t memory, ChangePattern& pattern) {
  std::vector<float> ordinary;
  for (std::size_t w = 0; w < quiet.size(); ++w) {
    const std::vector<float> values =
        amounts_of(pattern, quiet[w], motion, static_cast<int>(w % 2));
    for (std::size_t i = static_cast<std::size_t>(memory); i < values.size(); ++i) {
      ordinary.push_back(std::abs(values[i]));
    }
  }
  pattern.noise = quantile_of(ordinary, 0.683);
  pattern.least = std::max(5 * pattern.noise, 1.3F * quantile_of(ordinary, 0.998));
}

double strength_together(const std::vector<Eigen::VectorXf>& all, const OrdinaryMotion& motion) {
  Eigen::VectorXf sum = Eigen::VectorXf::Zero(all.front().size());
  for (const Eigen::VectorXf& each : all) {
    sum += each;
  }
  return std::max(0.0F, sum.dot(motion.weighed(sum)));
}

double sureness_of(const std::vector<Eigen::VectorXf>& all, const OrdinaryMotion& motion) {
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

}  // namespace thumblight::onset
