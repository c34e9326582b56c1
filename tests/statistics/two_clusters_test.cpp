#include "analysis/statistics/two_clusters.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <iostream>
#include <random>
#include <vector>

using namespace thumblight::statistics;

namespace {

using Draw = std::function<double(std::mt19937&)>;

double found_share(std::size_t n, const Draw& draw, std::mt19937& random, int samples) {
  int found = 0;
  for (int sample = 0; sample < samples; ++sample) {
    std::vector<double> values(n);
    for (double& value : values) {
      value = draw(random);
    }
    found += find_two_clusters(values, 0) ? 1 : 0;
  }
  return found / static_cast<double>(samples);
}

double uniform(std::mt19937& random) {
  return std::uniform_real_distribution<double>()(random);
}

double normal(std::mt19937& random) {
  return std::normal_distribution<double>()(random);
}

}  // namespace

TEST_CASE("samples of one mode seem to have two groups at most once in 100") {
  std::mt19937 random(1);
  const std::vector<std::pair<const char*, Draw>> draws = {
      {"uniform", uniform},
      {"normal", normal},
      {"gamma 4", [](auto& r) { return std::gamma_distribution<double>(4)(r); }},
      {"gamma 1", [](auto& r) { return std::gamma_distribution<double>(1)(r); }}};
  for (const auto& [name, draw] : draws) {
    for (const std::size_t n : {8, 10, 15, 25, 40, 100, 400}) {
      const double alarms = found_share(n, draw, random, 2000);
      std::cout << "two clusters: " << name << ", n " << n << ": false alarms " << alarms << '\n';
      INFO(name << " n " << n);
      CHECK(alarms <= 0.01);
    }
  }
}

TEST_CASE("missed frames and retries are found") {
  std::mt19937 random(2);
  const auto missed = [](double share, double distance) {
    return [=](std::mt19937& r) { return normal(r) + (uniform(r) < share ? distance : 0); };
  };
  // A refresh of 16.7 ms beside a screen portion that varies by 1 ms.
  CHECK(found_share(40, missed(0.2, 16.7), random, 500) > 0.97);
  CHECK(found_share(200, missed(0.1, 16.7), random, 200) > 0.99);
  CHECK(found_share(20, missed(0.5, 16.7), random, 500) > 0.97);
  // A retry after 8 ms beside polling at 1 ms.
  const auto retries = [](std::mt19937& r) { return uniform(r) + (uniform(r) < 0.15 ? 8 : 0); };
  CHECK(found_share(100, retries, random, 500) > 0.99);
}

TEST_CASE("the groups are counted, and their distance is that of their medians") {
  const std::vector<double> values = {1, 41, 2, 3, 42, 4, 5, 43, 6, 7, 8, 9};
  const auto clusters = find_two_clusters(values, 0);
  REQUIRE(clusters);
  const TwoClusters found = *clusters;
  CHECK(found.below == 9);
  CHECK(found.above == 3);
  CHECK(found.gap == 32);
  CHECK(found.distance == 37);
  CHECK(found.threshold < found.gap);
}

TEST_CASE("a gap no wider than the frames of the camera is none") {
  std::vector<double> values(20, 0.0);
  std::fill(values.begin() + 10, values.end(), 4.17);
  CHECK(find_two_clusters(values, 0));
  CHECK_FALSE(find_two_clusters(values, 5 * 4.17 / std::sqrt(12.0)));
}

TEST_CASE("two stray values are no group, nor are few or equal values") {
  CHECK_FALSE(find_two_clusters(std::vector<double>{1, 2, 3, 4, 5, 6, 7, 8, 90, 91}, 0));
  CHECK_FALSE(find_two_clusters(std::vector<double>(50, 1.0), 0));
  CHECK_FALSE(find_two_clusters(std::vector<double>{1, 1, 1, 9, 9, 9}, 0));
  CHECK_FALSE(find_two_clusters({}, 0));
  CHECK_THROWS(find_two_clusters(std::vector<double>(9, INFINITY), 0));
}
