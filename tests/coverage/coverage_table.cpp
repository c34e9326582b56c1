#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <string>

#include "tests/coverage/coverage.hpp"
#include "tests/coverage/paper_like.hpp"

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

/// Means over many sessions like those on paper; whether all bounds held the truth.
bool print_paper_like(int sessions, std::uint64_t seed) {
  std::printf("\n%-24s %16s %16s %16s\n", "40 presses to 0.1 ms", "alone, ms wide", "carried over",
              "held");
  bool all_held = true;
  const auto row = [&](const char* label, test::DeliveryBounds test::PaperLike::*control) {
    double alone = 0;
    double carried = 0;
    int held = 0;
    for (int k = 0; k < sessions; ++k) {
      const test::DeliveryBounds bounds =
          test::paper_like(seed + static_cast<std::uint64_t>(k)).*control;
      alone += test::DeliveryBounds::width_ms(bounds.alone_ms) / sessions;
      carried += test::DeliveryBounds::width_ms(bounds.carried_ms) / sessions;
      held += test::DeliveryBounds::holds(bounds.alone_ms, bounds.truth_ms) &&
                      test::DeliveryBounds::holds(bounds.carried_ms, bounds.truth_ms)
                  ? 1
                  : 0;
    }
    std::printf("%-24s %16.2f %16.2f %8d of %4d\n", label, alone, carried, held, sessions);
    all_held = all_held && held == sessions;
  };
  row("polled at 1 kHz", &test::PaperLike::polled_at_1_khz);
  row("polled at 125 Hz", &test::PaperLike::polled_at_125_hz);
  row("wireless", &test::PaperLike::wireless);
  return all_held;
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
      "contradict themselves, %d are refused\n",
      coverage.bounds_width_ms, coverage.least_width_ms, coverage.contradictions, coverage.refused);
  const bool held = print_paper_like(std::max(1, sessions / 20), seed);
  const bool met = is_met(coverage) && held;
  std::printf("intervals 93 to 97 %% in every portion, bounds 100 %%: %s\n",
              met ? "met" : "NOT MET");
  return met ? 0 : 1;
}
