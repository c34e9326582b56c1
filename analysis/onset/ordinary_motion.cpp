#include "analysis/onset/ordinary_motion.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>

#include "analysis/onset/quantile.hpp"

namespace thumblight::onset {
namespace {

constexpr std::array<std::array<int, 2>, 9> kNeighbours = {
    {{0, 0}, {1, 0}, {-1, 0}, {0, 1}, {0, -1}, {2, 0}, {-2, 0}, {0, 2}, {0, -2}}};
constexpr int kLooks = 3;
constexpr int kFeatures = kLooks * static_cast<int>(kNeighbours.size());
constexpr float kLeastError = 1e-5F;  ///< of a level: the store's own rounding
constexpr double kRare = 0.99;
constexpr float kRareIs = 3.0F;  ///< standard deviations

/// Variance of errors, so that the rare ones are no more than three standard deviations.
float generous_variance(const Eigen::RowVectorXf& errors) {
  const auto n = static_cast<float>(errors.size());
  std::vector<float> sizes(static_cast<std::size_t>(errors.size()));
  for (Eigen::Index i = 0; i < errors.size(); ++i) {
    sizes[static_cast<std::size_t>(i)] = std::abs(errors[i]);
  }
  const float rare = quantile_of(std::move(sizes), kRare) / kRareIs;
  return std::max({errors.squaredNorm() / n, rare * rare, kLeastError * kLeastError});
}

}  // namespace

OrdinaryMotion::OrdinaryMotion(const std::vector<LevelWindow>& quiet,
                               const recording::GridLayout& layout, const Foresight& foresight)
    : layout_(layout), foresight_(foresight), means_(Eigen::VectorXf::Zero(layout.cells())) {
  float n = 0;
  for (const LevelWindow& window : quiet) {
    means_ += window.levels.rowwise().sum();
    n += static_cast<float>(window.frames());
  }
  means_ /= std::max(n, 1.0F);
  learn_foretelling(quiet);
  learn_errors(quiet);
}

/// A column for each frame that can be foretold.
Eigen::MatrixXf OrdinaryMotion::features(const LevelWindow& window, int cell) const {
  const std::int64_t memory = foresight_.memory();
  const std::int64_t count = window.frames() - memory;
  Eigen::MatrixXf all(kFeatures, std::max<std::int64_t>(count, 0));
  const int column = cell % layout_.columns;
  const int row = cell / layout_.columns;
  int feature = 0;
  for (const auto& [right, down] : kNeighbours) {
    const int x = std::clamp(column + right, 0, layout_.columns - 1);
    const int y = std::clamp(row + down, 0, layout_.rows - 1);
    const int other = y * layout_.columns + x;
    for (int look = 0; look < kLooks && count > 0; ++look, ++feature) {
      const std::int64_t first = memory - foresight_.horizon - look * foresight_.lag;
      all.row(feature) = window.levels.row(other).segment(first, count).array() - means_[other];
    }
  }
  return all;
}

void OrdinaryMotion::learn_foretelling(const std::vector<LevelWindow>& quiet) {
  const std::int64_t memory = foresight_.memory();
  weights_.resize(static_cast<std::size_t>(layout_.cells()));
  for (int cell = 0; cell < layout_.cells(); ++cell) {
    std::array<Eigen::MatrixXf, 2> squares;
    std::array<Eigen::VectorXf, 2> products;
    squares.fill(Eigen::MatrixXf::Zero(kFeatures, kFeatures));
    products.fill(Eigen::VectorXf::Zero(kFeatures));
    float jitter = 0;
    float count = 0;
    for (std::size_t w = 0; w < quiet.size(); ++w) {
      const std::int64_t frames = quiet[w].frames() - memory;
      if (frames < 1) {
        continue;
      }
      const Eigen::MatrixXf known = features(quiet[w], cell);
      const Eigen::VectorXf wanted = quiet[w].levels.row(cell).tail(frames).array() - means_[cell];
      squares[w % 2] += known * known.transpose();
      products[w % 2] += known * wanted;
      jitter += (wanted.tail(frames - 1) - wanted.head(frames - 1)).squaredNorm() / 2;
      count += static_cast<float>(frames);
    }
    const float ridge = 0.5F * jitter + count * kLeastError * kLeastError;
    const auto solved = [&](const Eigen::MatrixXf& square, const Eigen::VectorXf& product) {
      const Eigen::MatrixXf steadied =
          square + ridge * Eigen::MatrixXf::Identity(kFeatures, kFeatures);
      return Eigen::VectorXf(steadied.ldlt().solve(product));
    };
    weights_[static_cast<std::size_t>(cell)] = {
        solved(squares[1], products[1]), solved(squares[0], products[0]),
        solved(squares[0] + squares[1], products[0] + products[1])};
  }
}

Eigen::MatrixXf OrdinaryMotion::surprises(const LevelWindow& window, int fold) const {
  const std::int64_t memory = foresight_.memory();
  Eigen::MatrixXf all = Eigen::MatrixXf::Zero(layout_.cells(), window.frames());
  const std::int64_t count = window.frames() - memory;
  for (int cell = 0; cell < layout_.cells() && count > 0; ++cell) {
    const Eigen::VectorXf& weights =
        weights_[static_cast<std::size_t>(cell)][static_cast<std::size_t>(fold < 0 ? 2 : fold)];
    all.row(cell).tail(count) = window.levels.row(cell).tail(count).array() - means_[cell] -
                                (weights.transpose() * features(window, cell)).array();
  }
  return all;
}

void OrdinaryMotion::learn_errors(const std::vector<LevelWindow>& quiet) {
  const std::int64_t memory = foresight_.memory();
  std::int64_t count = 0;
  for (const LevelWindow& window : quiet) {
    count += std::max<std::int64_t>(window.frames() - memory, 0);
  }
  Eigen::MatrixXf errors(layout_.cells(), count);
  std::int64_t at = 0;
  for (std::size_t w = 0; w < quiet.size(); ++w) {
    const std::int64_t frames = quiet[w].frames() - memory;
    if (frames > 0) {
      errors.middleCols(at, frames) =
          surprises(quiet[w], static_cast<int>(w % 2)).rightCols(frames);
      at += frames;
    }
  }
  const Eigen::MatrixXf covariance =
      errors * errors.transpose() / static_cast<float>(std::max<std::int64_t>(count, 1));
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXf> solver(covariance);
  const Eigen::Index cells = layout_.cells();
  const float usual = std::max(solver.eigenvalues()[cells / 2], kLeastError * kLeastError);
  constexpr std::int64_t kMostDirections = 24;
  constexpr float kStandsOut = 4;
  Eigen::Index kept = 0;
  while (kept < std::min<std::int64_t>({kMostDirections, count / 20, cells - 1}) &&
         solver.eigenvalues()[cells - 1 - kept] > kStandsOut * usual) {
    ++kept;
  }
  directions_ = solver.eigenvectors().rightCols(kept);
  const Eigen::MatrixXf scores = directions_.transpose() * errors;
  const Eigen::MatrixXf rest = errors - directions_ * scores;
  own_.resize(cells);
  for (Eigen::Index cell = 0; cell < cells; ++cell) {
    own_[cell] = 1 / std::max(generous_variance(rest.row(cell)), 0.05F * usual);
  }
  Eigen::MatrixXf inner = directions_.transpose() * own_.asDiagonal() * directions_;
  for (Eigen::Index k = 0; k < kept; ++k) {
    inner(k, k) += 1 / generous_variance(scores.row(k));
  }
  together_ = inner.inverse();
}

Eigen::VectorXf OrdinaryMotion::weighed(const Eigen::VectorXf& surprise) const {
  const Eigen::VectorXf alone = own_.asDiagonal() * surprise;
  const Eigen::VectorXf shared = together_ * (directions_.transpose() * alone);
  return alone - own_.asDiagonal() * (directions_ * shared);
}

}  // namespace thumblight::onset
