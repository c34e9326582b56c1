/// Makes a session folder with known truth from a settings file:
///
///     thumblight-rehearse-tool SETTINGS.json FOLDER
///
/// Settings that are left out keep their defaults; `{}` is a whole file. `{"preset": "old-tube",
/// "camera": {"rotation_deg": 90}}` starts from a preset. Every setting:
/// analysis/rehearsal/settings.hpp.
#include <fstream>
#include <iostream>
#include <sstream>

#include "analysis/rehearsal/rehearse.hpp"
#include "harness/session/error.hpp"

int main(int argc, char** argv) {
  using namespace thumblight;
  if (argc != 3) {
    std::cerr << "usage: thumblight-rehearse-tool SETTINGS.json FOLDER\n";
    return kExitUsage;
  }
  try {
    std::ifstream input(argv[1]);
    if (!input) {
      throw Error(std::string(argv[1]) + ": cannot be opened");
    }
    std::ostringstream text;
    text << input.rdbuf();
    rehearsal::rehearse(rehearsal::parse_settings(text.str(), argv[1]), argv[2]);
    return kExitGood;
  } catch (const std::exception& error) {
    std::cerr << "thumblight-rehearse-tool: " << error.what() << '\n';
    return kExitFailed;
  }
}
