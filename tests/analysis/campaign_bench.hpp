#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "tests/analysis/verb_bench.hpp"

/// Campaigns of simulated sessions whose true effects are known, as folders of timings and logs.
namespace thumblight::test {

struct SimulatedSetUp {
  std::string folder;
  std::string controller = "Heron";
  std::string connection = "wired";
  std::string device = "tower";
  std::string display = "monitor";
  double delivery_ms = 4;
  double screen_ms = 20;
};

inline SimulatedSession simulated(const SimulatedSetUp& set_up, unsigned seed,
                                  std::size_t presses = 40) {
  Bench bench;
  bench.presses = presses;
  bench.delivery_ms = set_up.delivery_ms;
  bench.screen_ms = set_up.screen_ms;
  bench.delivery_jitter_ms = 2;
  bench.render_jitter_ms = 4;
  SimulatedSession session = simulated(bench, seed);
  session.log.header.labels = {{"controller", set_up.controller},
                               {"connection", set_up.connection},
                               {"device", set_up.device},
                               {"display", set_up.display}};
  return session;
}

inline std::string put_campaign(const std::filesystem::path& folder,
                                const std::vector<SimulatedSetUp>& set_ups,
                                std::size_t presses = 40) {
  unsigned seed = 1;
  for (const SimulatedSetUp& set_up : set_ups) {
    put_session(folder / set_up.folder, simulated(set_up, seed++, presses));
  }
  return folder.string();
}

/// Two controllers, wired and wireless, on two displays, each twice. The true effects on the total:
/// wireless 5 ms, the controller Stork 2 ms, the television 12 ms.
inline std::vector<SimulatedSetUp> full_design() {
  std::vector<SimulatedSetUp> set_ups;
  for (const char* controller : {"Heron", "Stork"}) {
    for (const char* connection : {"wired", "wireless"}) {
      for (const char* display : {"monitor", "television"}) {
        for (const char* take : {"1", "2"}) {
          SimulatedSetUp set_up;
          set_up.folder = std::string(controller) + '-' + connection + '-' + display + '-' + take;
          set_up.controller = controller;
          set_up.connection = connection;
          set_up.display = display;
          set_up.delivery_ms = 4 + (set_up.connection == "wireless" ? 5 : 0) +
                               (set_up.controller == "Stork" ? 2 : 0);
          set_up.screen_ms = 20 + (set_up.display == "television" ? 12 : 0);
          set_ups.push_back(set_up);
        }
      }
    }
  }
  return set_ups;
}

/// A few set-ups that are told apart at a glance, and two that are not.
inline std::vector<SimulatedSetUp> four_set_ups() {
  return {{"a", "Heron", "wired", "tower", "monitor", 4, 20},
          {"b", "Heron", "wireless", "tower", "monitor", 14, 20},
          {"c", "Stork", "wired", "tower", "monitor", 4, 20},
          {"d", "Stork", "wireless", "tower", "monitor", 30, 20}};
}

}  // namespace thumblight::test
