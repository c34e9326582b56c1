#include "analysis/timing/exchange.hpp"

#include <algorithm>
#include <cmath>

#include "harness/session/error.hpp"

namespace thumblight::timing {
namespace {

struct Timed {
  double x_s = 0;       ///< the sensor's time, in the middle
  double offset_s = 0;  ///< host - recording
  double delay_s = 0;
};

std::vector<Timed> possible_ones(const std::vector<session::Exchange>& exchanges,
                                 const Timebase& base) {
  std::vector<Timed> timed;
  for (const session::Exchange& exchange : exchanges) {
    const double t2_s = base.recording(exchange.t2_s);
    const double t3_s = base.recording(exchange.t3_s);
    const ExchangeReading reading =
        read_exchange(base.host(exchange.t1_ns), t2_s, t3_s, base.host(exchange.t4_ns));
    if (exchange.t4_ns >= exchange.t1_ns && t3_s >= t2_s && reading.delay_s >= 0) {
      timed.push_back({(t2_s + t3_s) / 2, -reading.offset_s, reading.delay_s});
    }
  }
  return timed;
}

/// The scale of chance in the delays: the median excess over the least.
double usual_excess_s(const std::vector<Timed>& by_delay) {
  constexpr double kClockStep_s = 1e-9;
  return std::max(by_delay[by_delay.size() / 2].delay_s - by_delay.front().delay_s, kClockStep_s);
}

}  // namespace

ExchangeReading read_exchange(double t1_s, double t2_s, double t3_s, double t4_s) {
  return {((t2_s - t1_s) + (t3_s - t4_s)) / 2, (t4_s - t1_s) - (t3_s - t2_s)};
}

ExchangeLink link_by_exchange(const std::vector<session::Exchange>& exchanges, const Timebase& base,
                              const std::optional<Drift>& lights) {
  std::vector<Timed> timed = possible_ones(exchanges, base);
  if (timed.empty()) {
    throw Error(
        exchanges.empty()
            ? "the clock link 'exchange' needs exchanges between host and sensor; log them, "
              "or put them beside the log as exchange.csv"
            : "no exchange is possible: in each an answer comes before its request; check "
              "which clock each stamp is on");
  }
  std::sort(timed.begin(), timed.end(),
            [](const Timed& a, const Timed& b) { return a.delay_s < b.delay_s; });
  constexpr std::size_t kFewest = 8;
  const double least_s = timed.front().delay_s;
  timed.resize(std::min(timed.size(), std::max(kFewest, timed.size() / 4)));
  const double floor_s = usual_excess_s(timed) / 2;
  std::vector<OffsetReading> readings;
  readings.reserve(timed.size());
  for (const Timed& one : timed) {
    // An excess delay lies on either way, and shifts the offset by up to half of it. A busy machine
    // may put it on the same way every time.
    const double shift_s = (one.delay_s - least_s) / 2;
    const double u_s = std::hypot(floor_s, shift_s) / std::sqrt(3.0);
    readings.push_back({one.x_s, one.offset_s, u_s, shift_s});
  }
  ExchangeLink link;
  link.clock = link_clock(readings, least_s / 2, lights);
  link.least_delay_s = least_s;
  link.exchanges = exchanges.size();
  link.impossible = exchanges.size() - possible_ones(exchanges, base).size();
  return link;
}

}  // namespace thumblight::timing
