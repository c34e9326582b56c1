#include "analysis/onset/pair_instants.hpp"

#include <catch2/catch.hpp>

using namespace thumblight::onset;

namespace {

Instant at(double t_s) {
  Instant instant;
  instant.t_s = t_s;
  instant.u_s = 1e-4;
  return instant;
}

}  // namespace

TEST_CASE("what has no partner is kept and flagged") {
  const auto pairs = pair_instants({at(1), at(2), at(4)}, {at(1.05), at(3), at(4.04)}, {});
  REQUIRE(pairs.size() == 4);
  CHECK((pairs[0].press && pairs[0].light && pairs[0].flags.empty()));
  CHECK((pairs[1].press && !pairs[1].light));
  CHECK(pairs[1].flags == std::vector<std::string>{"no-light"});
  CHECK((!pairs[2].press && pairs[2].light));
  CHECK(pairs[2].flags == std::vector<std::string>{"no-press"});
  CHECK((pairs[3].press && pairs[3].light));
  CHECK(pairs[3].index == 3);
}

TEST_CASE("a press repeated before a late light does not take its place") {
  std::vector<Instant> presses;
  std::vector<Instant> lights;
  for (int k = 0; k < 6; ++k) {
    presses.push_back(at(k));
    lights.push_back(at(k + 0.15));
  }
  presses.push_back(at(3.09));
  const auto pairs = pair_instants(presses, lights, {at(2.01)});
  REQUIRE(pairs.size() == 7);
  CHECK(pairs[3].press->t_s == 3);
  CHECK(pairs[3].light->t_s == 3.15);
  CHECK_FALSE(pairs[4].light);
  CHECK(pairs[2].lamp);
  CHECK_FALSE(pairs[5].lamp);
}

TEST_CASE("nothing gives nothing") {
  CHECK(pair_instants({}, {}, {}).empty());
}
