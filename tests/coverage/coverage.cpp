#include "tests/coverage/coverage.hpp"

#include <array>
#include <random>

#include "analysis/report/result.hpp"
#include "harness/session/error.hpp"
#include "tests/coverage/observed_session.hpp"

namespace thumblight::test {
namespace {

using rehearsal::DeliveryModel;
using rehearsal::Settings;
using timing::ClockLinkKind;
using timing::Portion;

struct Jitter {
  const char* name;
  void (*apply)(Settings& settings);
};

constexpr std::array kJitters = {
    Jitter{"polled at 1 kHz",
           [](Settings& s) {
             s.delivery = {DeliveryModel::kPolling, 0.0006, 0.001};
           }},
    Jitter{"polled at 125 Hz",
           [](Settings& s) {
             s.delivery = {DeliveryModel::kPolling, 0.001, 0.008};
           }},
    Jitter{"gamma",
           [](Settings& s) {
             s.delivery = {DeliveryModel::kGamma, 0.002, 0.008, 2.0, 0.002};
           }},
    Jitter{"wireless with retries",
           [](Settings& s) {
             s.delivery = {DeliveryModel::kWireless, 0.0015, 0.004, 2.0, 0.002, 0.0075, 0.1};
           }},
};

constexpr std::array kLinks = {ClockLinkKind::kShared, ClockLinkKind::kExchange,
                               ClockLinkKind::kLamp, ClockLinkKind::kCausality};
constexpr std::array kPressCounts = {5, 10, 20, 40, 100, 200};

/// A recording stamped on the host's clock is none of a camera.
std::vector<Reading> readings(ClockLinkKind link) {
  std::vector<Reading> all = {{"fitted", 0, 0.00015, 0.0001}, {"sensor", 0, 0.00002, 0}};
  if (link != ClockLinkKind::kShared) {
    all.push_back({"counted at 240", 1.0 / 240, 0, 0});
    all.push_back({"counted at 960", 1.0 / 960, 0, 0});
  }
  return all;
}

struct Case {
  Settings settings;
  const Jitter* jitter = nullptr;
  ClockLinkKind link = ClockLinkKind::kNone;
  Reading reading;
};

/// The return of a present call comes after the flip by some constant, which is drawn from what
/// the split supposes (no more than its own spread), and a spread.
void draw_returns(rehearsal::HostSettings& host, std::mt19937_64& random) {
  constexpr double kSpread_s = 0.0003;
  host.return_min_s = std::uniform_real_distribution<double>(0, kSpread_s)(random);
  host.return_max_s = host.return_min_s + kSpread_s;
}

Case draw_case(int number, std::mt19937_64& random) {
  const auto pick = [&](const auto& from) { return from[random() % from.size()]; };
  Case drawn;
  drawn.jitter = &kJitters[random() % kJitters.size()];
  drawn.link = kLinks[static_cast<std::size_t>(number) % kLinks.size()];
  drawn.reading = pick(readings(drawn.link));
  Settings& settings = drawn.settings;
  settings.seed = random();
  settings.press.count = pick(kPressCounts);
  settings.host.vsync = random() % 4 != 0;
  draw_returns(settings.host, random);
  drawn.jitter->apply(settings);
  settings.lamp.on_host = drawn.link == ClockLinkKind::kLamp;
  if (drawn.link == ClockLinkKind::kShared) {
    settings.host.theta0_ns = 0;
  } else {
    settings.host.theta1 = std::uniform_real_distribution<double>(-2e-4, 2e-4)(random);
  }
  return drawn;
}

/// The means that the session's presses were drawn from: the same bench, its phases included, for
/// many more presses.
timing::PerPortion<double> long_run_means_ms(Settings settings, const std::string& flip_how) {
  constexpr int kMany = 20'000;
  settings.press.count = kMany;
  return true_means_ms(rehearsal::make_truth(settings), flip_how);
}

void add(Count& count, bool covered) {
  count.covered += covered ? 1 : 0;
  count.n += 1;
}

void judge_intervals(const Case& drawn, const report::Result& result, Coverage& coverage) {
  const auto truth_ms = long_run_means_ms(drawn.settings, result.split.flip_how);
  const std::string presses = std::to_string(drawn.settings.press.count);
  for (const Portion portion : timing::kPortions) {
    const auto& interval = result.portions[portion].mean_interval;
    if (!interval) {
      continue;
    }
    const bool covered = interval->low <= truth_ms[portion] && truth_ms[portion] <= interval->high;
    add(coverage.by_link[name(drawn.link)][portion], covered);
    add(coverage.by_presses[presses][portion], covered);
    add(coverage.by_jitter[drawn.jitter->name][portion], covered);
  }
}

void judge_bounds(const rehearsal::Truth& truth, const report::Result& result, Coverage& coverage) {
  const auto truth_ms = true_means_ms(truth, result.split.flip_how);
  if (result.split.clock_link.feasible == false) {
    ++coverage.contradictions;
  }
  for (const Portion portion : {Portion::kDelivery, Portion::kScreen, Portion::kDisplay}) {
    const auto& bounds = result.portions[portion].mean_bounds;
    if (bounds) {
      add(coverage.bounds[portion],
          bounds->low_ms <= truth_ms[portion] && truth_ms[portion] <= bounds->high_ms);
    }
  }
  const auto& delivery = result.portions[Portion::kDelivery].mean_bounds;
  if (delivery) {
    const double weight = 1.0 / coverage.bounds[Portion::kDelivery].n;
    const double least_ms =
        least_width_ms(truth, result.split.clock_link.scan_out.to_patch_s.value_or(0));
    coverage.bounds_width_ms +=
        (delivery->high_ms - delivery->low_ms - coverage.bounds_width_ms) * weight;
    coverage.least_width_ms += (least_ms - coverage.least_width_ms) * weight;
  }
}

/// Empty where the clock link is refused, as it is where few presses cannot be paired for certain.
std::optional<report::Result> split_of(const ObservedSession& session) {
  try {
    return report::make_result(timing::split_presses(session.timings, &session.log, session.basis),
                               session.timings, &session.log);
  } catch (const Error&) {
    return std::nullopt;
  }
}

}  // namespace

Coverage cover(int sessions, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  Coverage coverage;
  for (int k = 0; k < sessions; ++k) {
    const Case drawn = draw_case(k, random);
    const rehearsal::Truth truth = rehearsal::make_truth(drawn.settings);
    const ObservedSession session = observe(truth, drawn.link, drawn.reading, random);
    ++coverage.sessions;
    const std::optional<report::Result> split = split_of(session);
    if (!split) {
      ++coverage.refused;
      continue;
    }
    const report::Result& result = *split;
    judge_intervals(drawn, result, coverage);
    if (drawn.link == ClockLinkKind::kCausality) {
      judge_bounds(truth, result, coverage);
    }
  }
  return coverage;
}

}  // namespace thumblight::test
