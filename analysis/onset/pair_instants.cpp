#include "analysis/onset/pair_instants.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "analysis/onset/longest_delay.hpp"

namespace thumblight::onset {
namespace {

bool earlier(const Instant& a, const Instant& b) {
  return a.t_s < b.t_s;
}

double slack_s(const Instant& a, const Instant& b) {
  return 0.001 + 3 * std::hypot(a.u_s.value_or(0), b.u_s.value_or(0));
}

/// Presses that can have led to a light: after the light before it, and not too long ago.
std::vector<std::size_t> candidates(const std::vector<Instant>& presses,
                                    const std::vector<Instant>& lights, std::size_t k) {
  std::vector<std::size_t> found;
  for (std::size_t i = 0; i < presses.size(); ++i) {
    const double delay_s = lights[k].t_s - presses[i].t_s;
    const bool after_last = k == 0 || presses[i].t_s > lights[k - 1].t_s;
    if (after_last && delay_s >= -slack_s(presses[i], lights[k]) && delay_s <= kLongestDelay_s) {
      found.push_back(i);
    }
  }
  return found;
}

double usual_delay_s(const std::vector<Instant>& presses, const std::vector<Instant>& lights) {
  std::vector<double> delays;
  for (std::size_t k = 0; k < lights.size(); ++k) {
    const std::vector<std::size_t> found = candidates(presses, lights, k);
    if (found.size() == 1) {
      delays.push_back(lights[k].t_s - presses[found[0]].t_s);
    }
  }
  if (delays.empty()) {
    return 0;
  }
  const auto middle = delays.begin() + static_cast<std::ptrdiff_t>(delays.size() / 2);
  std::nth_element(delays.begin(), middle, delays.end());
  return *middle;
}

const Instant* nearest(const std::vector<Instant>& lamps, double t_s) {
  const Instant* best = nullptr;
  for (const Instant& lamp : lamps) {
    const bool near = std::abs(lamp.t_s - t_s) <= kLongestDelay_s / 2;
    if (near && (best == nullptr || std::abs(lamp.t_s - t_s) < std::abs(best->t_s - t_s))) {
      best = &lamp;
    }
  }
  return best;
}

}  // namespace

std::vector<PressTiming> pair_instants(std::vector<Instant> presses, std::vector<Instant> lights,
                                       const std::vector<Instant>& lamps) {
  std::sort(presses.begin(), presses.end(), earlier);
  std::sort(lights.begin(), lights.end(), earlier);
  const double usual_s = usual_delay_s(presses, lights);
  std::vector<char> taken(presses.size(), 0);
  std::vector<PressTiming> timings;
  for (std::size_t k = 0; k < lights.size(); ++k) {
    PressTiming timing;
    timing.light = lights[k];
    const std::vector<std::size_t> found = candidates(presses, lights, k);
    const auto best =
        std::min_element(found.begin(), found.end(), [&](std::size_t a, std::size_t b) {
          return std::abs(lights[k].t_s - presses[a].t_s - usual_s) <
                 std::abs(lights[k].t_s - presses[b].t_s - usual_s);
        });
    if (best != found.end()) {
      timing.press = presses[*best];
      taken[*best] = 1;
    } else {
      timing.flags.emplace_back("no-press");
    }
    if (const Instant* lamp = nearest(lamps, lights[k].t_s)) {
      timing.lamp = *lamp;
    }
    timings.push_back(std::move(timing));
  }
  for (std::size_t i = 0; i < presses.size(); ++i) {
    if (taken[i] == 0) {
      PressTiming timing;
      timing.press = presses[i];
      timing.flags.emplace_back("no-light");
      timings.push_back(std::move(timing));
    }
  }
  const auto time_of = [](const PressTiming& timing) {
    return timing.press ? timing.press->t_s : timing.light->t_s;
  };
  std::sort(timings.begin(), timings.end(),
            [&](const PressTiming& a, const PressTiming& b) { return time_of(a) < time_of(b); });
  for (std::size_t i = 0; i < timings.size(); ++i) {
    timings[i].index = static_cast<std::int64_t>(i);
  }
  return timings;
}

}  // namespace thumblight::onset
