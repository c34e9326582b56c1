#include <CLI/CLI.hpp>
#include <cstdio>
#include <string>

#include "tests/coverage/coverage.hpp"

/// Runs thousands of sessions and prints how often each interval holds the truth.
namespace {

using namespace thumblight;
using timing::Portion;

void print(const char* title, const std::map<std::string, timing::PerPortion<test::Count>>& rows) {
  std::printf("\n%-24s", title);
  for (const Portion portion : timing::kPortions) {
    std::printf(" %16s", name(portion));
  }
  std::printf("\n");
  for (const auto& [row, counts] : rows) {
    std::printf("%-24s", row.c_str());
    for (const Portion portion : timing::kPortions) {
      const test::Count& count = counts[portion];
      count.n == 0 ? std::printf(" %16s", "-")
                   : std::printf("   %5.1f %% of %4d", 100 * count.share(), count.n);
    }
    std::printf("\n");
  }
}

timing::PerPortion<test::Count> sum(
    const std::map<std::string, timing::PerPortion<test::Count>>& rows) {
  timing::PerPortion<test::Count> all;
  for (const auto& [row, counts] : rows) {
    for (const Portion portion : timing::kPortions) {
      all[portion].covered += counts[portion].covered;
      all[portion].n += counts[portion].n;
    }
  }
  return all;
}

bool is_met(const test::Coverage& coverage) {
  bool met = coverage.contradictions == 0;
  for (const Portion portion : timing::kPortions) {
    const test::Count count = sum(coverage.by_link)[portion];
    met = met && count.share() >= 0.93 && count.share() <= 0.97;
    met = met && coverage.bounds[portion].covered == coverage.bounds[portion].n;
  }
  return met;
}

}  // namespace

int main(int argc, char** argv) {
  int sessions = 2000;
  std::uint64_t seed = 1;
  CLI::App app("Holds the intervals of many rehearsed sessions against their truth.");
  app.add_option("--sessions", sessions)->capture_default_str();
  app.add_option("--seed", seed)->capture_default_str();
  CLI11_PARSE(app, argc, argv);
  const test::Coverage coverage = test::cover(sessions, seed);
  print("all", {{"", sum(coverage.by_link)}});
  print("clock link", coverage.by_link);
  print("presses", coverage.by_presses);
  print("jitter", coverage.by_jitter);
  print("bounds", {{"causality", coverage.bounds}});
  std::printf(
      "\nbounds of delivery: %.2f ms wide in the mean, %.2f ms at the least; %d sessions "
      "contradict themselves\n",
      coverage.bounds_width_ms, coverage.least_width_ms, coverage.contradictions);
  const bool met = is_met(coverage);
  std::printf("intervals 93 to 97 %% in every portion, bounds 100 %%: %s\n",
              met ? "met" : "NOT MET");
  return met ? 0 : 1;
}
