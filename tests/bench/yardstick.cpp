#include <array>
#include <cstdio>
#include <fstream>
#include <memory>

#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"
#include "tests/bench/bench_session.hpp"
#include "tests/bench/clock.hpp"
#include "tests/bench/commands.hpp"
#include "tests/bench/quantile.hpp"

namespace thumblight::bench {
namespace {

constexpr Size kScreen = {1920, 1080};
constexpr Size kWindow = {640, 480};

/// One way to show the patch, and how much longer than the client the harness may take.
struct Contest {
  const char* name;
  std::optional<Size> window;
  double pixel_limit;
};
constexpr double kArrivalMedianLimit = 1.5;
constexpr double kArrivalP99Limit = 2;

/// What one of the two programs did: lags from the injection, in milliseconds.
struct Lags {
  std::vector<double> arrival_ms;
  std::vector<double> pixel_ms;
};

std::string joined(const std::vector<int>& numbers) {
  std::string text;
  for (const int number : numbers) {
    text += (text.empty() ? "" : ",") + std::to_string(number);
  }
  return text;
}

/// The client with the window and the patch that the harness has.
ChildPlan client_plan(const BenchOptions& options, const VirtualDisplay& display,
                      const HarnessRun& harness, const std::filesystem::path& csv, int presses) {
  const WindowPlace& window = harness.window();
  const session::Patch& patch = harness.header().patch;
  ChildPlan plan;
  plan.program = options.client;
  plan.arguments = {"--window",  joined({window.x, window.y, window.width, window.height}),
                    "--patch",   joined({patch.x, patch.y, patch.w, patch.h}),
                    "--presses", std::to_string(presses),
                    "--hold-s",  std::to_string(kShortHoldMs / 1e3),
                    "--out",     csv.string()};
  plan.environment = {{"DISPLAY", display.name()}};
  return plan;
}

/// One press as a program wrote it down.
struct Noticed {
  std::int64_t arrival_ns = 0;
  bool flashed = true;  ///< false where the patch was still lit or resting
};

std::vector<Noticed> noticed_by_client(const std::filesystem::path& csv) {
  std::ifstream input(csv);
  std::string line;
  std::getline(input, line);
  std::vector<Noticed> result;
  while (std::getline(input, line)) {
    result.push_back({std::stoll(line), line.back() == '1'});
  }
  return result;
}

std::vector<Noticed> noticed_by_harness(const std::filesystem::path& folder) {
  std::vector<Noticed> result;
  for (const session::Press& press : session::read_log(folder / "session.jsonl").presses) {
    result.push_back({press.arrival_ns, press.flashed});
  }
  return result;
}

/// Presses one and the other in turn, so that whatever else the machine does meets both alike.
std::array<std::vector<Injection>, 2> inject_in_turn(std::array<KeyInjector*, 2> injectors,
                                                     const GapPlan& each) {
  GapPlan both = each;
  both.presses *= 2;
  both.least_gap_s /= 2;
  both.most_gap_s /= 2;
  std::array<std::vector<Injection>, 2> injections;
  std::size_t turn = 0;
  std::int64_t last_ns = monotonic_raw_ns();
  for (const std::int64_t gap_ns : gaps_ns(both)) {
    sleep_ns(last_ns + gap_ns - monotonic_raw_ns());
    injections[turn].push_back(injectors[turn]->press());
    last_ns = injections[turn].back().before_ns;
    sleep_ns(ns_of_s(both.held_s));
    injectors[turn]->release();
    turn = 1 - turn;
  }
  return injections;
}

/// Presses that were withheld, as they are where a busy machine turned the patch dark too late,
/// count for the arrival alone.
Lags lags_of(const std::string& program, const std::vector<Injection>& injections,
             const std::vector<Noticed>& noticed, const std::vector<LevelChange>& changes) {
  const Pairing pairing = pair_flashes(injections, changes);
  if (noticed.size() != injections.size() || !pairing.unexplained.empty()) {
    throw Error(program + " noticed " + std::to_string(noticed.size()) + " of " +
                std::to_string(injections.size()) + " presses and lit up " +
                std::to_string(pairing.unexplained.size()) + " times without one");
  }
  Lags lags;
  for (std::size_t index = 0; index < injections.size(); ++index) {
    const TimedPress& press = pairing.presses[index];
    if (press.light.has_value() != noticed[index].flashed) {
      throw Error("what " + program + " says of press " + std::to_string(index) +
                  " is not what the screen showed");
    }
    const std::int64_t from_ns = press.press.before_ns;
    lags.arrival_ms.push_back(static_cast<double>(noticed[index].arrival_ns - from_ns) / 1e6);
    if (press.light) {
      lags.pixel_ms.push_back(static_cast<double>(press.light->instant_ns() - from_ns) / 1e6);
    }
  }
  if (lags.pixel_ms.size() < injections.size()) {
    std::printf("%s: %zu of %zu presses came while the patch was lit or resting\n", program.c_str(),
                injections.size() - lags.pixel_ms.size(), injections.size());
  }
  return lags;
}

/// One round of a contest.
struct Round {
  Lags client;
  Lags harness;
};

/// One row of the table: a quantile of one kind of lag, and how much longer the harness may take.
struct Row {
  const char* what;
  std::vector<double> Lags::*lags_ms;
  double share;
  double limit;  ///< of the ratio; 0: none
};

/// Prints the medians over the rounds, so that one stall of the machine decides nothing.
bool print_row(const Row& row, const std::vector<Round>& rounds) {
  std::vector<double> client_ms;
  std::vector<double> harness_ms;
  std::vector<double> ratios;
  for (const Round& round : rounds) {
    client_ms.push_back(quantile(round.client.*row.lags_ms, row.share));
    harness_ms.push_back(quantile(round.harness.*row.lags_ms, row.share));
    ratios.push_back(harness_ms.back() / client_ms.back());
  }
  const double ratio = quantile(ratios, 0.5);
  std::printf("  %-18s %8.3f  %8.3f  %6.2f  ", row.what, quantile(client_ms, 0.5),
              quantile(harness_ms, 0.5), ratio);
  if (row.limit == 0) {
    std::printf("    -\n");
    return true;
  }
  std::printf("%5.1f  %s\n", row.limit, ratio <= row.limit ? "PASS" : "OVER");
  return ratio <= row.limit;
}

bool print_contest(const Contest& contest, const std::vector<Round>& rounds) {
  bool good = true;
  for (const Row& row : {Row{"to arrival, median", &Lags::arrival_ms, 0.5, kArrivalMedianLimit},
                         Row{"to arrival, p99", &Lags::arrival_ms, 0.99, kArrivalP99Limit},
                         Row{"to pixels, median", &Lags::pixel_ms, 0.5, contest.pixel_limit},
                         Row{"to pixels, p99", &Lags::pixel_ms, 0.99, 0}}) {
    good = print_row(row, rounds) && good;
  }
  std::fflush(stdout);
  return good;
}

Round hold_round(const BenchOptions& options, const Contest& contest, int presses, int number) {
  const VirtualDisplay harness_display(kScreen);
  const VirtualDisplay client_display(kScreen);
  HarnessPlan plan;
  plan.program = options.harness;
  plan.folder = options.out / (std::string("yardstick-") + (contest.window ? "window-" : "full-") +
                               std::to_string(number));
  plan.renderer = "software";
  plan.vsync = false;
  plan.window = contest.window;
  plan.presses = presses;
  plan.hold_ms = kShortHoldMs;
  HarnessRun harness(harness_display, plan);
  const std::filesystem::path csv = plan.folder / "client.csv";
  ChildProcess client(client_plan(options, client_display, harness, csv, presses));
  KeyInjector client_injector(client_display.name(), "space");
  const WindowPlace window = client_injector.focus_program();
  const session::Patch& patch = harness.header().patch;
  PixelObserver observer(
      {harness.patch_centre(), client_display.screen().at(window.x + patch.x + patch.w / 2,
                                                          window.y + patch.y + patch.h / 2)},
      harness.halfway_level());
  sleep_ns(kNsPerS / 2);
  const auto injections =
      inject_in_turn({&harness.injector(), &client_injector},
                     shortest_gaps(presses, options.seed + static_cast<std::uint64_t>(number)));
  harness.finish(3);
  client.wait(3);
  observer.stop();
  std::printf("%s, round %d: pixels read %.0f times a second, largest gap %.2f ms\n", contest.name,
              number + 1, observer.rate().rate_hz,
              static_cast<double>(observer.rate().largest_gap_ns) / 1e6);
  return {lags_of("the client", injections[1], noticed_by_client(csv),
                  changes_of(observer.changes(), 1)),
          lags_of("the harness", injections[0], noticed_by_harness(plan.folder),
                  changes_of(observer.changes(), 0))};
}

bool hold_contest(const BenchOptions& options, const Contest& contest, int presses) {
  std::vector<Round> rounds;
  rounds.reserve(static_cast<std::size_t>(options.rounds));
  for (int number = 0; number < options.rounds; ++number) {
    rounds.push_back(hold_round(options, contest, presses, number));
  }
  return print_contest(contest, rounds);
}

}  // namespace

int yardstick(const BenchOptions& options) {
  const int presses = options.presses > 0 ? options.presses : 200;
  std::printf("%d presses each, ms from the injection; software renderer, no vsync\n", presses);
  std::printf("  %-18s %8s  %8s  %6s  %5s\n", "", "client", "harness", "ratio", "limit");
  bool good = hold_contest(options, {"window 640x480", kWindow, 2}, presses);
  good = hold_contest(options, {"full screen 1920x1080", std::nullopt, 3}, presses) && good;
  return good ? kExitGood : kExitFailed;
}

}  // namespace thumblight::bench
