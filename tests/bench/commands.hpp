#pragma once

#include <cstdint>
#include <filesystem>

/// The sub-commands of `thumblight-bench`. Each prints what it finds and returns an exit code.
namespace thumblight::bench {

struct BenchOptions {
  std::filesystem::path harness;
  std::filesystem::path analysis;
  std::filesystem::path client;
  std::filesystem::path camera;
  std::filesystem::path out = "bench-out";
  int presses = 0;  ///< 0: as many as the command wants by itself
  int rounds = 1;   ///< of the yardstick; its ratios are then the medians over the rounds
  std::uint64_t seed = 1;
};

/// A session in each pacing, each split by the analysis.
int main_job(const BenchOptions& options);

/// The harness against a bare Xlib client, press by press in turn.
int yardstick(const BenchOptions& options);

/// How late presses are noticed where frames wait for the refresh, in each pacing.
int vsync(const BenchOptions& options);

/// Many presses in each pacing, each checked.
int long_run(const BenchOptions& options);

/// Kills the harness at random moments and reads what it left behind.
int kill_test(const BenchOptions& options);

/// Sessions that are filmed and measured from the film, held against what the bench saw.
int filmed(const BenchOptions& options);

/// A picture of each page of the harness in several sizes.
int screenshots(const BenchOptions& options);

/// The same of the review of a rehearsed session.
int review_screens(const BenchOptions& options);

}  // namespace thumblight::bench
