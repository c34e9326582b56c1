/// Prints how long splitting a session by causality takes, summaries included, from a thousand
/// presses to a million: 100,000 are to take no more than a second, and ten times the presses no
/// more than about ten times as long. Not a test: the time depends on the machine.

#include <chrono>
#include <cstdio>
#include <random>

#include "analysis/report/result.hpp"
#include "tests/coverage/observed_session.hpp"

namespace {

using namespace thumblight;

constexpr double kLimitSeconds = 1.0;
constexpr std::int64_t kLimitPresses = 100'000;

struct Taken {
  double split_s = 0;
  double summary_s = 0;
};

double since(std::chrono::steady_clock::time_point begin) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

Taken take(const test::ObservedSession& session) {
  Taken taken;
  const auto begin = std::chrono::steady_clock::now();
  timing::Split split = timing::split_presses(session.timings, &session.log, session.basis);
  taken.split_s = since(begin);
  const auto then = std::chrono::steady_clock::now();
  report::make_result(std::move(split), session.timings, &session.log);
  taken.summary_s = since(then);
  return taken;
}

}  // namespace

int main() {
  std::mt19937_64 random(1);
  double before_s = 0;
  for (std::int64_t presses = 1'000; presses <= 1'000'000; presses *= 10) {
    rehearsal::Settings settings;
    settings.press.count = presses;
    const test::ObservedSession session =
        test::observe(rehearsal::make_truth(settings), timing::ClockLinkKind::kCausality,
                      {"sensor", 0, 0.0001, 0}, random);
    const Taken taken = take(session);
    std::printf("%8lld presses: split %.3f s, summaries %.3f s", static_cast<long long>(presses),
                taken.split_s, taken.summary_s);
    if (before_s > 0) {
      std::printf(", split %.1f times as long as a tenth of them", taken.split_s / before_s);
    }
    if (presses == kLimitPresses) {
      std::printf(", %.2f of the limit of %.1f s", taken.split_s / kLimitSeconds, kLimitSeconds);
    }
    std::printf("\n");
    before_s = taken.split_s;
  }
}
