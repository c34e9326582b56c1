#include "tests/analysis/exchange_rig.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "analysis/timing/exchange.hpp"
#include "analysis/timing/exchange_table.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::timing;

namespace {

constexpr std::size_t kExchanges = 400;

/// Exchanges over a real line, as the analysis reads them from their table, and what is made of
/// them.
struct Rig {
  Rig(const test::LineDelays& delays, double rate)
      : sensor{test::raw_now_ns(), 5000.25, rate}, base{sensor.base_s, sensor.host_ns} {
    const test::TemporaryFolder folder;
    test::Sensor server(sensor, delays, 3);
    test::write_exchange_table(server.exchange(kExchanges), folder.path() / "exchange.csv");
    exchanges = read_exchange_table(folder.path() / "exchange.csv");
    link = link_by_exchange(exchanges, base, std::nullopt);
  }

  /// The link's error where it knows the offset best.
  double error_s() const {
    return link.clock.offset_s - sensor.offset_at(base.recording_s + link.clock.x_mean_s);
  }
  double widest_s() const { return link.clock.half_width_s + 3 * link.clock.u_offset_s; }

  test::SensorClock sensor;
  Timebase base;
  std::vector<session::Exchange> exchanges;
  ExchangeLink link;
};

}  // namespace

// RFC 5905, 8 and 4: whatever the machine does meanwhile, no exchange is off by more than half its
// delay. What a busy machine adds to most of them is in the uncertainty of the offset.
TEST_CASE("over a line slower back than there, the truth lies within the stated half-width") {
  const test::LineDelays delays{0.0003, 0.0011, 0.0002};
  const Rig rig(delays, 80e-6);
  REQUIRE(rig.exchanges.size() == kExchanges);
  for (const session::Exchange& exchange : rig.exchanges) {
    const double t2_s = rig.base.recording(exchange.t2_s);
    const double t3_s = rig.base.recording(exchange.t3_s);
    const ExchangeReading reading =
        read_exchange(rig.base.host(exchange.t1_ns), t2_s, t3_s, rig.base.host(exchange.t4_ns));
    const double truth_s =
        -(rig.sensor.offset_at(exchange.t2_s) + rig.sensor.offset_at(exchange.t3_s)) / 2;
    constexpr double kStampStep_s = 5e-9;
    CHECK(std::abs(reading.offset_s - truth_s) <= reading.delay_s / 2 + kStampStep_s);
    CHECK(reading.delay_s >= delays.there_s + delays.back_s);
  }
  CAPTURE(rig.error_s(), rig.link.clock.half_width_s, rig.link.clock.u_offset_s,
          rig.link.clock.theta1, rig.link.clock.u_theta1);
  CHECK(rig.link.exchanges == kExchanges);
  CHECK(rig.link.impossible == 0);
  CHECK(rig.link.clock.half_width_s == Approx(rig.link.least_delay_s / 2));
  CHECK(rig.link.clock.half_width_s >= (delays.there_s + delays.back_s) / 2);
  CHECK(std::abs(rig.error_s()) <= rig.widest_s());
  // Off by about half of what the ways differ by, 0.4 ms, and on the side of the slower way.
  CHECK(rig.error_s() > 0.0001 - 3 * rig.link.clock.u_offset_s);
}

TEST_CASE("the rate of the sensor's clock is found within its uncertainty") {
  const Rig rig({0.0003, 0.0011, 0.0002}, 400e-6);
  const double truth = 1 / (1 + 400e-6) - 1;
  CAPTURE(rig.link.clock.theta1, rig.link.clock.u_theta1, truth);
  CHECK(std::abs(rig.link.clock.theta1 - truth) <= 4 * rig.link.clock.u_theta1);
  CHECK(rig.link.clock.u_theta1 < kLargestRateError / std::sqrt(3.0));
}

TEST_CASE("over a line as slow back as there, the middle is far nearer than the half-width") {
  const Rig rig({0.0007, 0.0007, 0.0001}, 0);
  CAPTURE(rig.error_s(), rig.link.clock.half_width_s, rig.link.clock.u_offset_s);
  CHECK(std::abs(rig.error_s()) <= rig.link.clock.half_width_s / 4 + 3 * rig.link.clock.u_offset_s);
}
