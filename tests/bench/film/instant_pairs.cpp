#include "tests/bench/film/instant_pairs.hpp"

#include <cmath>

namespace thumblight::bench {
namespace {

/// Half the width of a rectangular distribution, in the u that is stated of it.
constexpr double kHalfWidth = 2 / kHeldByTwoU;

template <typename Value>
double mean(const std::vector<InstantPair>& pairs, const Value& value) {
  double sum = 0;
  for (const InstantPair& pair : pairs) {
    sum += value(pair);
  }
  return sum / static_cast<double>(pairs.size());
}

}  // namespace

double InstantPair::u_ms() const {
  return std::hypot(stated_ms, seen_u_ms);
}

bool InstantPair::is_ill_timed(double picture_ms, double shared_u_ms) const {
  return std::abs(error_ms) > 1.1 * kHalfWidth * u_ms() + picture_ms + 2 * shared_u_ms;
}

std::vector<InstantPair> pairs_of(const nlohmann::json& timings, const char* event,
                                  const std::vector<std::optional<LevelChange>>& seen,
                                  std::int64_t first_ns) {
  std::vector<InstantPair> pairs;
  for (std::size_t index = 0; index < seen.size(); ++index) {
    if (seen[index]) {
      const nlohmann::json& instant = timings.at("presses").at(index).at(event);
      const double seen_ms = static_cast<double>(seen[index]->instant_ns() - first_ns) / 1e6;
      pairs.push_back({1e3 * instant.at("t_s").get<double>() - seen_ms,
                       1e3 * instant.at("u_s").get<double>(), seen[index]->u_ns() / 1e6});
    }
  }
  return pairs;
}

double mean_of(const std::vector<InstantPair>& pairs, double InstantPair::*value) {
  return mean(pairs, [value](const InstantPair& pair) { return pair.*value; });
}

double mean_square_of(const std::vector<InstantPair>& pairs, double InstantPair::*value) {
  return mean(pairs, [value](const InstantPair& pair) { return pair.*value * pair.*value; });
}

double u_of_mean_ms(const std::vector<InstantPair>& pairs) {
  const double sd_in_u = kHalfWidth / std::sqrt(3.0);
  const double mean_square = mean(pairs, [sd_in_u](const InstantPair& pair) {
    return std::pow(sd_in_u * pair.stated_ms, 2) + std::pow(pair.seen_u_ms, 2);
  });
  return std::sqrt(mean_square / static_cast<double>(pairs.size()));
}

}  // namespace thumblight::bench
