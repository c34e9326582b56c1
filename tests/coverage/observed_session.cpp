#include "tests/coverage/observed_session.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <sstream>

#include "analysis/rehearsal/log.hpp"
#include "harness/session/encode.hpp"
#include "harness/session/reader.hpp"

namespace thumblight::test {
namespace {

using rehearsal::PressTruth;
using rehearsal::Truth;
using timing::ClockLinkKind;
using timing::Portion;

constexpr double kLeastLag_s = 0.0002;
constexpr double kMostLag_s = 0.0010;

session::Log log_of(const Truth& truth) {
  std::stringstream text;
  for (const session::Record& record : rehearsal::log_records(truth)) {
    text << session::encode(record) << '\n';
  }
  return session::read_log(text, "session.jsonl");
}

double between(double low, double high, std::mt19937_64& random) {
  return std::uniform_real_distribution<double>(low, high)(random);
}

double normal(double sd, std::mt19937_64& random) {
  return sd > 0 ? std::normal_distribution<double>(0, sd)(random) : 0;
}

onset::Instant read(double t_s, const Reading& reading, const char* how, std::mt19937_64& random) {
  onset::Instant instant;
  instant.how = how;
  if (reading.frame_s > 0) {
    instant.frame = static_cast<std::int64_t>(std::ceil(t_s / reading.frame_s));
    instant.t_s = (static_cast<double>(*instant.frame) - 0.5) * reading.frame_s;
    instant.u_s = reading.frame_s / std::sqrt(12.0);
  } else {
    instant.t_s = t_s + normal(reading.normal_u_s, random);
    instant.u_s = reading.normal_u_s;
  }
  return instant;
}

onset::Timings timings_of(const Truth& truth, const Reading& reading, double lamp_lag_s,
                          std::mt19937_64& random) {
  onset::Timings timings;
  timings.recording = {"camera.mp4", "video", {"stamps", {}, {}}};
  if (reading.frame_s > 0) {
    timings.recording.clock.rate_hz = 1 / reading.frame_s;
  }
  const double shared_s = normal(reading.shared_u_s, random);
  if (reading.shared_u_s > 0) {
    timings.recording.shared.push_back({"criterion", "light", reading.shared_u_s});
  }
  for (const PressTruth& press : truth.presses) {
    onset::PressTiming seen;
    seen.index = press.index;
    seen.press = read(press.contact.recording_s, reading, "mark", random);
    if (press.flash) {
      seen.light = read(press.flash->light.recording_s + shared_s, reading, "mark", random);
    }
    if (press.lamp) {
      seen.lamp = read(press.lamp->switched_on.recording_s + lamp_lag_s, reading, "mark", random);
    }
    timings.presses.push_back(seen);
  }
  return timings;
}

/// Exchanges whose least delay lies anyhow on the two ways.
std::vector<session::Exchange> exchanges_of(const Truth& truth, std::mt19937_64& random) {
  constexpr int kCount = 60;
  constexpr double kLeastDelay_s = 0.0006;
  constexpr double kFurther_s = 0.0003;
  const double there_s = between(0, kLeastDelay_s, random);
  std::exponential_distribution<double> further(1 / kFurther_s);
  std::vector<session::Exchange> exchanges;
  for (int k = 0; k < kCount; ++k) {
    const double sent_s = truth.clocks.bench_s(truth.end_s * (k + 0.5) / kCount);
    const double received_s = sent_s + there_s + further(random);
    const double answered_s = received_s + 2e-5;
    const double back_s = answered_s + kLeastDelay_s - there_s + further(random);
    exchanges.push_back({truth.clocks.host_ns(sent_s), truth.clocks.recording_s(received_s),
                         truth.clocks.recording_s(answered_s), truth.clocks.host_ns(back_s)});
  }
  return exchanges;
}

}  // namespace

ObservedSession observe(Truth truth, ClockLinkKind link, const Reading& reading,
                        std::mt19937_64& random) {
  ObservedSession session;
  session.log = log_of(truth);
  session.timings = timings_of(truth, reading, between(kLeastLag_s, kMostLag_s, random), random);
  session.basis = timing::SplitBasis(link);
  if (link == ClockLinkKind::kLamp) {
    session.basis.lamp_lag = timing::LampLag{kLeastLag_s, kMostLag_s};
  }
  if (link == ClockLinkKind::kExchange) {
    session.basis.exchanges = exchanges_of(truth, random);
  }
  return session;
}

timing::PerPortion<double> true_means_ms(const Truth& truth, const std::string& flip_how) {
  timing::PerPortion<double> mean;
  double n = 0;
  for (const PressTruth& press : truth.presses) {
    if (!press.flash) {
      continue;
    }
    const double flip_s =
        flip_how == "refresh" ? press.flash->flip.bench_s : press.flash->submit.bench_s;
    const double press_s = press.contact.bench_s;
    const double arrival_s = press.arrival.bench_s;
    const double light_s = press.flash->light.bench_s;
    n += 1;
    const auto add = [&](Portion portion, double value_s) {
      mean[portion] += (value_s * 1e3 - mean[portion]) / n;
    };
    add(Portion::kTotal, light_s - press_s);
    add(Portion::kDelivery, arrival_s - press_s);
    add(Portion::kRender, flip_s - arrival_s);
    add(Portion::kScreen, light_s - flip_s);
    add(Portion::kDisplay, light_s - arrival_s);
    add(Portion::kRemainder, light_s - press_s - (flip_s - arrival_s));
  }
  return mean;
}

double least_width_ms(const Truth& truth, double to_patch_s) {
  double delivery_s = std::numeric_limits<double>::infinity();
  double screen_s = std::numeric_limits<double>::infinity();
  for (const PressTruth& press : truth.presses) {
    if (press.flash) {
      delivery_s = std::min(delivery_s, press.arrival.bench_s - press.contact.bench_s);
      const double earliest_s =
          std::max(press.flash->submit.bench_s, press.flash->flip.bench_s + to_patch_s);
      screen_s = std::min(screen_s, press.flash->light.bench_s - earliest_s);
    }
  }
  return (delivery_s + screen_s) * 1e3;
}

}  // namespace thumblight::test
