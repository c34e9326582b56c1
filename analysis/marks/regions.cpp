#include "analysis/marks/regions.hpp"

namespace thumblight::marks {

std::vector<std::string> take_regions(const std::map<std::string, onset::Region>& dragged,
                                      onset::Setup& setup) {
  std::vector<std::string> taken;
  for (const auto& [name, region] : dragged) {
    if (name == "patch") {
      setup.patch = region;
    } else if (name == "press") {
      (setup.press_from == "lamp" ? setup.lamp : setup.finger) = region;
    } else if (name == "change") {
      setup.change = region;
    } else {
      continue;
    }
    taken.push_back(name);
  }
  return taken;
}

}  // namespace thumblight::marks
