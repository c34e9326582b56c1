#include <CLI/CLI.hpp>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <functional>
#include <optional>
#include <string>

#include "tests/matrix/limits.hpp"
#include "tests/matrix/matrix.hpp"
#include "tests/support/temporary_folder.hpp"

/// Runs the whole matrix and prints a line for each cell, in milliseconds, and how many met all.
namespace {

using namespace thumblight::test;

struct Options {
  RunOptions run;
  int crossed = 48;
  std::uint64_t seed = 20;
  std::string only;
  std::string keep;
  std::string errors;
  bool hidden = false;
};

void print(const char* name, const Tally& tally) {
  std::printf(" | %s %+6.3f %5.3f %5.3f %3.0f%% %4.2f", name, 1e3 * tally.bias_s(),
              1e3 * tally.sd_s(), 1e3 * tally.mean_u_s(), 100 * tally.share(), tally.ratio());
}

/// The halving that moved farthest, in standard uncertainties.
double farthest(const Cell& cell) {
  double most = 0;
  for (const Halving& halving : cell.halvings) {
    most = std::max(most, std::abs(halving.shift_s) / std::max(halving.u_s, 1e-12));
  }
  return most;
}

bool report(const Cell& cell) {
  std::printf("%-40s %3d %d %d", cell.condition.name.c_str(), cell.expected, cell.missed,
              cell.invented);
  print("light", cell.light);
  print(cell.by_lamp() ? "lamp" : "finger", cell.press);
  const std::vector<std::string> broken = broken_promises(cell);
  std::printf(" | halved %.1f | %s", farthest(cell), broken.empty() ? "met" : "NOT MET:");
  for (const std::string& promise : broken) {
    std::printf(" %s;", promise.c_str());
  }
  std::printf("\n");
  std::fflush(stdout);
  return broken.empty();
}

void write_errors(const Cell& cell, std::ofstream& file) {
  const auto write = [&](const char* kind, const Tally& tally) {
    for (const Miss& miss : tally.all) {
      file << '"' << cell.condition.name << "\"," << miss.seed << ',' << kind << ',' << miss.at_s
           << ',' << 1e3 * miss.error_s << ',' << 1e3 * miss.u_s << ',' << miss.within << '\n';
    }
  };
  write("light", cell.light);
  write("press", cell.press);
  file.flush();
}

void pool(const Tally& cell, Tally& all) {
  all.all.insert(all.all.end(), cell.all.begin(), cell.all.end());
}

bool report_pooled(const char* name, const Tally& all) {
  const bool met = all.share() >= 0.93 && all.share() <= 0.99;
  std::printf(
      "%s of all cells: %.1f %% of %d within two standard uncertainties, wanted 93 to 99: %s\n",
      name, 100 * all.share(), all.n(), met ? "met" : "NOT MET");
  return met;
}

std::vector<Condition> chosen(const Options& options) {
  std::vector<Condition> conditions = single_conditions();
  const std::vector<Condition> crossed = crossed_conditions(options.crossed, options.seed);
  conditions.insert(conditions.end(), crossed.begin(), crossed.end());
  std::erase_if(conditions, [&](const Condition& condition) {
    return condition.name.find(options.only) == std::string::npos;
  });
  return conditions;
}

/// Does `run` for each chosen condition, in the folder where its films lie or are to lie.
void for_each(const Options& options,
              const std::function<void(const Condition&, const RunOptions&)>& run) {
  for (const Condition& condition : chosen(options)) {
    const TemporaryFolder folder;
    RunOptions each = options.run;
    each.folder =
        options.keep.empty() ? folder.path() : std::filesystem::path(options.keep) / condition.name;
    run(condition, each);
  }
}

int run_hidden(const Options& options) {
  int invented = 0;
  std::printf("cell  presses read where none is to be seen\n");
  for_each(options, [&](const Condition& condition, const RunOptions& each) {
    const int presses = presses_out_of_sight(condition, each);
    std::printf("%-40s  %d\n", condition.name.c_str(), presses);
    std::fflush(stdout);
    invented += presses;
  });
  std::printf("%d presses invented: %s\n", invented, invented == 0 ? "met" : "NOT MET");
  return invented == 0 ? 0 : 1;
}

int run(const Options& options) {
  std::ofstream errors(options.errors);
  int met = 0;
  int cells = 0;
  Tally lights;
  Tally lamps;
  std::printf("cell  n missed invented | kind bias sd u |error|<=2u rms(error/u) | shift/u\n");
  for_each(options, [&](const Condition& condition, const RunOptions& each) {
    const Cell cell = run_cell(condition, each);
    met += report(cell) ? 1 : 0;
    ++cells;
    pool(cell.light, lights);
    if (cell.by_lamp()) {
      pool(cell.press, lamps);
    }
    write_errors(cell, errors);
  });
  const bool lights_met = report_pooled("lights", lights);
  const bool lamps_met = report_pooled("lamps", lamps);
  std::printf("%d of %d cells met everything\n", met, cells);
  return met == cells && lights_met && lamps_met ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  Options options;
  options.run.films = 7;
  options.run.halve = true;
  CLI::App app("Reads rehearsed films under many conditions and holds them against their truth.");
  app.add_option("--films", options.run.films, "films pooled in each cell")->capture_default_str();
  app.add_option("--halve", options.run.halve, "read each film at half its rate too");
  app.add_option("--crossed", options.crossed, "cells with many things changed at once");
  app.add_option("--seed", options.seed, "of the choice of crossed cells");
  app.add_option("--only", options.only, "only cells whose name holds this");
  app.add_flag("--hidden", options.hidden,
               "films that show no press instead: every press read off one is invented");
  app.add_option("--keep", options.keep, "folder for the films, taken again next time");
  app.add_option("--errors", options.errors, "table of every error, in milliseconds");
  CLI11_PARSE(app, argc, argv);
  return options.hidden ? run_hidden(options) : run(options);
}
