#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace thumblight::marks {

/// A session to be looked at without knowing which one it is.
struct BlindSession {
  std::filesystem::path folder;
  std::vector<std::int64_t> presses;  ///< by index
};

/// One press of the mixed order: where its marks go.
struct BlindPress {
  std::size_t session = 0;  ///< place among the sessions as given
  std::int64_t index = 0;
};

/// The presses of several sessions, each once, mixed by a seed. The same seed mixes the same
/// sessions alike, in whatever order they are given and wherever their common folder lies.
class BlindOrder {
 public:
  /// Throws `Error` where a session is given twice or bears a press twice.
  BlindOrder(const std::vector<BlindSession>& sessions, std::uint64_t seed);

  std::size_t size() const { return order_.size(); }
  const BlindPress& at(std::size_t place) const { return order_.at(place); }
  std::uint64_t seed() const { return seed_; }
  /// All that may be shown of a press: "press 7 of 60", by its place in this order.
  std::string title(std::size_t place) const;

 private:
  std::vector<BlindPress> order_;
  std::uint64_t seed_;
};

}  // namespace thumblight::marks
