#include "analysis/rehearsal/scenario.hpp"

#include <nlohmann/json.hpp>
#include <set>

#include "harness/session/error.hpp"

namespace thumblight::rehearsal {

namespace {

using nlohmann::json;

constexpr char kCommonPart[] = "every session";

/// A folder's name that stays within the scenario's own folder.
void check_folder(const std::string& folder) {
  if (folder.empty() || folder.front() == '.' || folder.find('/') != std::string::npos) {
    throw Error("\"" + folder + "\" cannot name a session's folder");
  }
}

json merged(const json& parts, const std::vector<std::string>& names) {
  json settings = json::object();
  for (const std::string& name : names) {
    if (!parts.contains(name)) {
      throw Error("there is no part \"" + name + "\"");
    }
    settings.merge_patch(parts.at(name));
  }
  return settings;
}

ScenarioSession session_from(const json& object, const json& parts, std::size_t place) {
  ScenarioSession session;
  session.folder = object.at("folder").get<std::string>();
  check_folder(session.folder);
  session.parts = object.at("parts").get<std::vector<std::string>>();
  session.clock_link = object.value("clock_link", "");
  std::vector<std::string> names = session.parts;
  names.insert(names.begin(), kCommonPart);
  json settings = merged(parts, names);
  settings["seed"] = place;
  session.settings = parse_settings(settings.dump(), session.folder);
  return session;
}

Scenario scenario_from(const json& object) {
  Scenario scenario;
  std::set<std::string> folders;
  for (const json& session : object.at("sessions")) {
    scenario.sessions.push_back(
        session_from(session, object.at("parts"), scenario.sessions.size() + 1));
    if (!folders.insert(scenario.sessions.back().folder).second) {
      throw Error("the folder \"" + scenario.sessions.back().folder + "\" is named twice");
    }
  }
  scenario.reference_ms = object.at("reference_ms").get<double>();
  scenario.effects_ms = object.at("effects_ms").get<std::map<std::string, double>>();
  return scenario;
}

}  // namespace

Scenario parse_scenario(const std::string& text, const std::string& name) {
  try {
    return scenario_from(json::parse(text));
  } catch (const json::exception& error) {
    throw Error(name + ": the scenario cannot be read: " + error.what());
  } catch (const Error& error) {
    throw Error(name + ": " + error.what());
  }
}

}  // namespace thumblight::rehearsal
