#include "tests/bench/film/film_analysis.hpp"

#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "harness/session/error.hpp"
#include "tests/bench/child_process.hpp"

namespace thumblight::bench {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

constexpr double kTimeoutS = 120;

json read_json(const fs::path& file) {
  std::ifstream input(file);
  if (!input) {
    throw Error("the analysis did not write '" + file.string() + "'");
  }
  return json::parse(input);
}

void run_analysis(const fs::path& program, const std::vector<std::string>& arguments,
                  const fs::path& folder) {
  ChildPlan plan;
  plan.program = program;
  plan.arguments = arguments;
  plan.stdout_file = folder.string() + ".analysis.txt";
  plan.stderr_file = folder.string() + ".analysis-errors.txt";
  if (run_program(plan, kTimeoutS) != kExitGood) {
    std::ifstream errors(plan.stderr_file);
    throw Error("the analysis of '" + folder.string() +
                "' failed: " + std::string(std::istreambuf_iterator<char>(errors), {}));
  }
}

/// Moves every instant of the timings later; what is no instant (a level, a frame) stays.
json moved(json timings, double by_s) {
  for (json& press : timings.at("presses")) {
    for (const char* event : {"press", "light", "lamp"}) {
      if (!press.contains(event) || press.at(event).is_null()) {
        continue;
      }
      for (const char* key : {"t_s", "t50_s", "t90_s", "from_s", "to_s"}) {
        json& instant = press.at(event);
        if (instant.contains(key) && instant.at(key).is_number()) {
          instant.at(key) = instant.at(key).get<double>() + by_s;
        }
      }
    }
  }
  return timings;
}

}  // namespace

FilmAnalysis analyse_film(const fs::path& program, const fs::path& folder, std::int64_t first_ns) {
  FilmAnalysis analysis;
  run_analysis(program, {"measure", folder.string()}, folder);
  analysis.timings = read_json(folder / "timings.json");
  analysis.result = read_json(folder / "result.json");

  const fs::path shared = folder.string() + "-host-clock";
  fs::create_directories(shared);
  fs::copy_file(folder / "session.jsonl", shared / "session.jsonl");
  std::ofstream(shared / "timings.json")
      << moved(analysis.timings, static_cast<double>(first_ns) / 1e9).dump(1);
  run_analysis(program, {"split", shared.string(), "--clock-link", "shared"}, shared);
  analysis.shared_result = read_json(shared / "result.json");
  return analysis;
}

}  // namespace thumblight::bench
