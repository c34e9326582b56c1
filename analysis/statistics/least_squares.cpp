#include "analysis/statistics/least_squares.hpp"

#include <Eigen/QR>
#include <algorithm>
#include <cmath>

#include "analysis/statistics/checks.hpp"
#include "harness/session/error.hpp"

namespace thumblight::statistics {

namespace {

constexpr double kDependent = 1e-9;
/// Residual squares below this share of the squares of y are rounding, not scatter.
constexpr double kRoundingShare = 1e-26;

using Matrix = Eigen::MatrixXd;
using Vector = Eigen::VectorXd;

void check(const std::vector<Column>& columns, std::span<const double> y) {
  if (columns.empty() || y.empty()) {
    throw Error("a least-squares fit takes one column and one observation or more");
  }
  require_finite(y, "of y");
  for (const Column& column : columns) {
    require_finite(column.values, "of column '" + column.name + "'");
    if (column.values.size() != y.size()) {
      throw Error("column '" + column.name + "' has " + std::to_string(column.values.size()) +
                  " values for " + std::to_string(y.size()) + " observations");
    }
  }
}

Vector as_vector(std::span<const double> values) {
  return Eigen::Map<const Vector>(values.data(), static_cast<Eigen::Index>(values.size()));
}

/// The columns that do not depend on those before them, and an orthonormal basis of their space.
struct Independent {
  std::vector<std::size_t> kept;
  std::vector<std::size_t> left_out;
  Matrix design;  // of the kept columns
};

Independent independent_columns(const std::vector<Column>& columns, Eigen::Index n) {
  Independent result;
  Matrix basis(n, 0);
  for (std::size_t i = 0; i < columns.size(); ++i) {
    const Vector column = as_vector(columns[i].values);
    Vector rest = column;
    for (int pass = 0; pass < 2; ++pass) {  // the second pass removes what the first one rounded
      rest -= basis * (basis.transpose() * rest);
    }
    if (rest.norm() <= kDependent * column.norm()) {
      result.left_out.push_back(i);
      continue;
    }
    result.kept.push_back(i);
    basis.conservativeResize(Eigen::NoChange, basis.cols() + 1);
    basis.rightCols(1) = rest.normalized();
  }
  result.design.resize(n, static_cast<Eigen::Index>(result.kept.size()));
  for (std::size_t k = 0; k < result.kept.size(); ++k) {
    result.design.col(static_cast<Eigen::Index>(k)) = as_vector(columns[result.kept[k]].values);
  }
  return result;
}

Alias alias_of(std::size_t column, const Vector& combination, const Vector& values,
               const Independent& independent) {
  Alias alias{column, {}};
  for (std::size_t k = 0; k < independent.kept.size(); ++k) {
    const auto index = static_cast<Eigen::Index>(k);
    const double part = std::abs(combination[index]) * independent.design.col(index).norm();
    if (part > kDependent * values.norm()) {
      alias.with.push_back(independent.kept[k]);
    }
  }
  return alias;
}

/// (X'X)^-1 by way of R^-1, which does not square the condition.
Matrix unscaled_covariance(const Eigen::HouseholderQR<Matrix>& qr, Eigen::Index rank) {
  const Matrix inverse = qr.matrixQR().topRows(rank).triangularView<Eigen::Upper>().solve(
      Matrix::Identity(rank, rank));
  return inverse * inverse.transpose();
}

}  // namespace

std::optional<double> LeastSquaresFit::coefficient(std::size_t column) const {
  return coefficients_.at(column);
}

bool LeastSquaresFit::estimable(std::size_t column) const {
  const bool shared = std::any_of(aliases_.begin(), aliases_.end(), [&](const Alias& alias) {
    return std::find(alias.with.begin(), alias.with.end(), column) != alias.with.end();
  });
  return coefficients_.at(column) && !shared;
}

std::optional<double> LeastSquaresFit::covariance(std::size_t first, std::size_t second) const {
  if (!coefficients_.at(first) || !coefficients_.at(second) || residual_dof_ == 0) {
    return std::nullopt;
  }
  return unscaled_covariance_[first * coefficients_.size() + second] * residual_sum_of_squares_ /
         static_cast<double>(residual_dof_);
}

double LeastSquaresFit::unscaled_covariance(std::size_t first, std::size_t second) const {
  return unscaled_covariance_.at(first * coefficients_.size() + second);
}

std::optional<double> LeastSquaresFit::standard_error(std::size_t column) const {
  const auto variance = covariance(column, column);
  return variance ? std::optional(std::sqrt(*variance)) : std::nullopt;
}

std::optional<double> LeastSquaresFit::residual_sd() const {
  if (residual_dof_ == 0) {
    return std::nullopt;
  }
  return std::sqrt(residual_sum_of_squares_ / static_cast<double>(residual_dof_));
}

LeastSquaresFit fit_least_squares(const std::vector<Column>& columns, std::span<const double> y) {
  check(columns, y);
  const Vector observed = as_vector(y);
  const Independent independent = independent_columns(columns, observed.size());
  const auto rank = static_cast<Eigen::Index>(independent.kept.size());

  LeastSquaresFit fit;
  fit.coefficients_.resize(columns.size());
  fit.unscaled_covariance_.resize(columns.size() * columns.size(), 0.0);
  fit.rank_ = independent.kept.size();
  fit.residual_dof_ = y.size() - fit.rank_;

  const Eigen::HouseholderQR<Matrix> qr(independent.design);
  const Vector solution = qr.solve(observed);
  const Matrix covariance = unscaled_covariance(qr, rank);
  const double residual = (observed - independent.design * solution).squaredNorm();
  fit.residual_sum_of_squares_ = residual > kRoundingShare * observed.squaredNorm() ? residual : 0;
  for (Eigen::Index i = 0; i < rank; ++i) {
    const std::size_t column = independent.kept[static_cast<std::size_t>(i)];
    fit.coefficients_[column] = solution[i];
    for (Eigen::Index j = 0; j < rank; ++j) {
      const std::size_t other = independent.kept[static_cast<std::size_t>(j)];
      fit.unscaled_covariance_[column * columns.size() + other] = covariance(i, j);
    }
  }
  for (const std::size_t column : independent.left_out) {
    const Vector values = as_vector(columns[column].values);
    fit.aliases_.push_back(alias_of(column, qr.solve(values), values, independent));
  }
  return fit;
}

}  // namespace thumblight::statistics
