#include "analysis/marks/blind_order.hpp"

#include <algorithm>
#include <numeric>
#include <random>

#include "harness/session/error.hpp"

namespace thumblight::marks {
namespace {

namespace fs = std::filesystem;

fs::path whole(const fs::path& folder) {
  const fs::path path = fs::absolute(folder).lexically_normal();
  return path.has_filename() ? path : path.parent_path();
}

/// The paths of the sessions from behind what all of them begin with.
std::vector<fs::path> own_paths(const std::vector<BlindSession>& sessions) {
  std::vector<fs::path> paths;
  paths.reserve(sessions.size());
  for (const BlindSession& session : sessions) {
    paths.push_back(whole(session.folder));
  }
  fs::path common = paths.empty() ? fs::path() : paths.front().parent_path();
  for (const fs::path& path : paths) {
    const auto [end, ignored] =
        std::mismatch(common.begin(), common.end(), path.begin(), path.end());
    fs::path shared;
    for (auto part = common.begin(); part != end; ++part) {
      shared /= *part;
    }
    common = shared;
  }
  for (fs::path& path : paths) {
    path = path.lexically_relative(common);
  }
  return paths;
}

/// The places of the sessions in an order that depends on their names alone.
std::vector<std::size_t> places_by_name(const std::vector<BlindSession>& sessions) {
  const std::vector<fs::path> names = own_paths(sessions);
  std::vector<std::size_t> places(sessions.size());
  std::iota(places.begin(), places.end(), std::size_t{0});
  std::sort(places.begin(), places.end(),
            [&](std::size_t a, std::size_t b) { return names[a] < names[b]; });
  const auto twice =
      std::adjacent_find(places.begin(), places.end(),
                         [&](std::size_t a, std::size_t b) { return names[a] == names[b]; });
  if (twice != places.end()) {
    throw Error(sessions[*twice].folder.string() + ": is named twice; name each session once");
  }
  return places;
}

/// A whole number below `n`, each with the same chance. The standard's distributions differ from
/// library to library, its generator does not.
std::size_t below(std::size_t n, std::mt19937_64& generator) {
  const std::uint64_t most = std::mt19937_64::max() - std::mt19937_64::max() % n;
  std::uint64_t drawn = generator();
  while (drawn >= most) {
    drawn = generator();
  }
  return static_cast<std::size_t>(drawn % n);
}

void require_once(const std::vector<std::int64_t>& sorted, const fs::path& folder) {
  if (std::adjacent_find(sorted.begin(), sorted.end()) != sorted.end()) {
    throw Error(folder.string() + ": has a press of one index twice");
  }
}

}  // namespace

BlindOrder::BlindOrder(const std::vector<BlindSession>& sessions, std::uint64_t seed)
    : seed_(seed) {
  for (const std::size_t place : places_by_name(sessions)) {
    std::vector<std::int64_t> presses = sessions[place].presses;
    std::sort(presses.begin(), presses.end());
    require_once(presses, sessions[place].folder);
    for (const std::int64_t index : presses) {
      order_.push_back({place, index});
    }
  }
  std::mt19937_64 generator(seed);
  for (std::size_t left = order_.size(); left > 1; --left) {
    std::swap(order_[left - 1], order_[below(left, generator)]);
  }
}

std::string BlindOrder::title(std::size_t place) const {
  return "press " + std::to_string(place + 1) + " of " + std::to_string(order_.size());
}

}  // namespace thumblight::marks
