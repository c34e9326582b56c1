#pragma once

#include <string>
#include <vector>

#include "tests/bench/bench_session.hpp"

namespace thumblight::bench {

/// What is wrong with a session of which every press should have flashed, a sentence each: presses
/// lost or invented, instants out of order (press, arrival, submit, light). Empty if all is well.
std::vector<std::string> faults_of(const SessionResult& result);

/// The most flashes that begin within any second, by the observer's own count.
int most_flashes_in_a_second(const std::vector<TimedPress>& presses);

}  // namespace thumblight::bench
