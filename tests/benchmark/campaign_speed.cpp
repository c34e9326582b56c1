#include <array>
#include <cstdio>
#include <exception>
#include <stdexcept>
#include <string>

#include "tests/analysis/campaign_bench.hpp"
#include "tests/benchmark/measured_child.hpp"
#include "tests/support/temporary_folder.hpp"

/// How long `compare` takes for a campaign of 50 and of 500 measured sessions, and how much memory.
namespace {

using namespace thumblight;
using namespace thumblight::benchmark;

constexpr std::size_t kPresses = 100;
constexpr double kSoonEnough_s = 5;

std::vector<test::SimulatedSetUp> set_ups(std::size_t count) {
  constexpr std::array kDisplays = {"monitor", "television", "panel", "tube", "projector"};
  std::vector<test::SimulatedSetUp> list;
  for (std::size_t k = 0; k < count; ++k) {
    test::SimulatedSetUp set_up;
    set_up.folder = "session-" + std::to_string(1000 + k);
    set_up.controller = "pad " + std::to_string(k % 10);
    set_up.connection = k / 10 % 2 == 0 ? "wired" : "wireless";
    set_up.display = kDisplays[k / 20 % kDisplays.size()];
    set_up.delivery_ms = 4 + static_cast<double>(k % 10) + (k / 10 % 2 == 0 ? 0 : 5);
    set_up.screen_ms = 20 + 3 * static_cast<double>(k / 20 % kDisplays.size());
    list.push_back(set_up);
  }
  return list;
}

void require_good(const test::Answer& answer) {
  if (answer.exit_code != 0) {
    throw std::runtime_error(answer.err);
  }
}

Cost compare_cost(std::size_t sessions) {
  const test::TemporaryFolder folder;
  const std::string campaign = test::put_campaign(folder.path(), set_ups(sessions), kPresses);
  const Cost measured = measure_child([&] { require_good(test::analyse({"measure", campaign})); });
  const Cost again = measure_child([&] { require_good(test::analyse({"measure", campaign})); });
  const Cost compared = measure_child([&] { require_good(test::analyse({"compare", campaign})); });
  std::printf(
      "%zu sessions of %zu presses: split from their timings in %.2f s, found up to date in %.2f "
      "s, "
      "compared in %.2f s with %.0f MB\n",
      sessions, kPresses, measured.wall_s, again.wall_s, compared.wall_s, compared.peak_mb);
  return compared;
}

}  // namespace

int main() {
  try {
    const Cost few = compare_cost(50);
    const Cost many = compare_cost(500);
    std::printf("500 over 50 sessions: %.1f times the time\n", many.wall_s / few.wall_s);
    const bool soon = print_against("compare 500 sessions, s:", many.wall_s, kSoonEnough_s);
    const bool flat = print_against("memory of 500 over 50:", many.peak_mb / few.peak_mb, 1.5);
    return soon && flat ? 0 : 1;
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s\n", error.what());
    return 1;
  }
}
