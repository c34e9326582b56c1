#include <CLI/CLI.hpp>
#include <iostream>

#include "harness/session/error.hpp"
#include "tests/bench/commands.hpp"

using namespace thumblight;

namespace {

struct Command {
  const char* name;
  const char* line;
  int (*run)(const bench::BenchOptions&);
};

constexpr Command kCommands[] = {
    {"main-job", "A session in each pacing, each split by the analysis.", bench::main_job},
    {"yardstick", "The harness against a bare Xlib client, press by press in turn.",
     bench::yardstick},
    {"vsync", "How late presses are noticed with OpenGL and vsync, in each pacing.", bench::vsync},
    {"long-run", "500 presses in each pacing, each checked.", bench::long_run},
    {"kill-test", "Kills the harness at 50 random moments and reads what it left.",
     bench::kill_test},
    {"filmed", "A filmed session in two pacings, measured from the film, against what was seen.",
     bench::filmed},
    {"screenshots", "A picture of each page of the harness in three sizes.", bench::screenshots},
    {"review-screens", "Pictures of the review of a rehearsed session in two sizes.",
     bench::review_screens},
};

/// The programs as the build lays them out beside this one.
bench::BenchOptions defaults() {
  const std::filesystem::path here = std::filesystem::read_symlink("/proc/self/exe").parent_path();
  const std::filesystem::path root = here.parent_path().parent_path();
  bench::BenchOptions options;
  options.harness = root / "harness" / "thumblight-harness";
  options.analysis = root / "analysis" / "thumblight-analysis";
  options.client = here / "thumblight-xlib-client";
  options.camera = here / "thumblight-screen-camera";
  return options;
}

void add_options(CLI::App& app, bench::BenchOptions& options) {
  app.add_option("--harness", options.harness, "thumblight-harness");
  app.add_option("--analysis", options.analysis,
                 "thumblight-analysis, for main-job, filmed and review-screens");
  app.add_option("--client", options.client, "thumblight-xlib-client, for yardstick");
  app.add_option("--camera", options.camera, "thumblight-screen-camera, for filmed");
  app.add_option("--out", options.out, "the folder for everything that is written; new or empty");
  app.add_option("--presses", options.presses,
                 "how many presses, or kills, where the command has a number of them")
      ->check(CLI::PositiveNumber);
  app.add_option("--rounds", options.rounds, "repeats of the yardstick, of which the median counts")
      ->check(CLI::PositiveNumber);
  app.add_option("--seed", options.seed, "of the random gaps");
}

/// Nothing of an earlier run may be taken for a result of this one.
void make_folder(const std::filesystem::path& folder) {
  if (std::filesystem::exists(folder) && !std::filesystem::is_empty(folder)) {
    throw Error("the folder '" + folder.string() + "' is not empty; name another with --out");
  }
  std::filesystem::create_directories(folder);
}

int run(CLI::App& app, const bench::BenchOptions& options) {
  for (const Command& command : kCommands) {
    if (app.got_subcommand(command.name)) {
      make_folder(options.out);
      return command.run(options);
    }
  }
  return kExitUsage;
}

}  // namespace

int main(int count, char** arguments) {
  CLI::App app("Runs the real programs on a virtual display with real key presses.");
  app.require_subcommand(1);
  app.fallthrough();
  try {
    bench::BenchOptions options = defaults();
    add_options(app, options);
    for (const Command& command : kCommands) {
      app.add_subcommand(command.name, command.line);
    }
    app.parse(count, arguments);
    return run(app, options);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? kExitGood : kExitUsage;
  } catch (const std::exception& error) {
    std::cerr << "thumblight-bench: " << error.what() << '\n';
    return kExitFailed;
  }
}
