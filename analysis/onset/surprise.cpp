#include "analysis/onset/surprise.hpp"

#include <algorithm>
#include <iterator>

namespace thumblight::onset {

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

Eigen::VectorXf block_sums(const Eigen::VectorXf& parts, const recording::GridLayout& layout) {
  constexpr int kSide = 4;
  const int columns = layout.columns;
  const int rows = layout.rows;
  const Eigen::Map<const Eigen::MatrixXf> grid(parts.data(), columns, rows);
  std::vector<float> sums;
  for (int top = 0; top == 0 || top + kSide / 2 < rows; top += kSide / 2) {
    for (int left = 0; left == 0 || left + kSide / 2 < columns; left += kSide / 2) {
      sums.push_back(
          grid.block(left, top, std::min(kSide, columns - left), std::min(kSide, rows - top))
              .sum());
    }
  }
  return Eigen::Map<const Eigen::VectorXf>(sums.data(), std::ssize(sums));
}

float greatest_block(const Eigen::VectorXf& parts, const recording::GridLayout& layout) {
  return block_sums(parts, layout).maxCoeff();
}

std::vector<float> surprise_of(const Eigen::MatrixXf& surprises, const OrdinaryMotion& motion,
                               const recording::GridLayout& layout, std::int64_t memory) {
  std::vector<float> values(static_cast<std::size_t>(surprises.cols()), 0);
  for (Eigen::Index i = memory; i < surprises.cols(); ++i) {
    const Eigen::VectorXf each = surprises.col(i);
    values[static_cast<std::size_t>(i)] =
        greatest_block(each.cwiseProduct(motion.weighed(each)), layout);
  }
  return values;
}

}  // namespace thumblight::onset
