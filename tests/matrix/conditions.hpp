#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "analysis/rehearsal/settings.hpp"

/// Under what conditions films are rehearsed.
namespace thumblight::test {

struct Condition {
  std::string name;
  rehearsal::Settings settings;
  bool crossed = false;  ///< many things changed at once
};

/// What every condition changes one thing or a few of.
rehearsal::Settings plain_settings();

/// The few that a test has time for.
std::vector<Condition> fast_conditions();

/// One thing changed at a time.
std::vector<Condition> single_conditions();

/// Many things changed at once: `count` points of the cross product of all factors, each level of
/// each factor equally often (a Latin hypercube sample: McKay, Beckman and Conover 1979).
std::vector<Condition> crossed_conditions(int count, std::uint64_t seed);

}  // namespace thumblight::test
