#pragma once

#include <map>
#include <string>
#include <vector>

#include "analysis/rehearsal/settings.hpp"

/// Several sessions to be rehearsed, put together from parts: controllers, machines, screens.
namespace thumblight::rehearsal {

struct ScenarioSession {
  std::string folder;
  std::vector<std::string> parts;  ///< their names, the common one not among them
  Settings settings;
  std::string clock_link;  ///< to be measured with; empty for the default
};

struct Scenario {
  std::vector<ScenarioSession> sessions;
  /// The mean total in the long run, in milliseconds, is `reference_ms` and what each part of the
  /// session adds to it. Stated beside the settings, which make it so.
  double reference_ms = 0;
  std::map<std::string, double> effects_ms;
};

/// From JSON: `parts` holds settings by name, of which "every session" is common to all;
/// `sessions` names a folder and its parts, merged in their order. A session's seed is its place,
/// from 1. Throws `Error` naming what is wrong.
Scenario parse_scenario(const std::string& text, const std::string& name);

/// The demo: an arcade that chooses a controller, see assets/demo.
Scenario demo_scenario();

}  // namespace thumblight::rehearsal
