#pragma once

#include <cstddef>
#include <optional>

#include "analysis/review/layout.hpp"

namespace thumblight::review {

/// Which rows of the list of presses are seen.
class PressList {
 public:
  void set(const Layout& layout, std::size_t rows);
  /// Moves as little as shows this row with one on either side.
  void follow(std::size_t row);
  void scroll(int rows);

  std::size_t first() const { return first_; }
  std::size_t end() const;
  Box head() const;
  Box box_of(std::size_t row) const;
  std::optional<std::size_t> row_at(Point point) const;
  /// The part of the list that is seen, as shares of it; empty where all of it is.
  std::optional<Box> bar() const;

 private:
  void settle();

  Box place_;
  double line_ = 1;
  double text_ = 1;
  std::size_t rows_ = 0;
  std::size_t seen_ = 1;
  std::size_t first_ = 0;
};

}  // namespace thumblight::review
