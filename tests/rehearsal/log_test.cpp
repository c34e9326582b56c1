#include "analysis/rehearsal/log.hpp"

#include <catch2/catch.hpp>

#include "harness/session/reader.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::rehearsal;

namespace {

session::Log logged(const Truth& truth) {
  const test::TemporaryFolder folder;
  const auto file = folder.path() / "session.jsonl";
  write_log(truth, file);
  return session::read_log(file);
}

}  // namespace

TEST_CASE("the log is one that the reader takes, with the truth's instants") {
  Settings settings;
  settings.press.count = 60;
  settings.press.repeat_share = 0.2;
  settings.lamp.on_host = true;
  const Truth truth = make_truth(settings);
  const session::Log log = logged(truth);
  REQUIRE(log.presses.size() == 60);
  std::size_t flashed = 0;
  for (std::size_t k = 0; k < 60; ++k) {
    const session::Press& press = log.presses[k];
    const PressTruth& real = truth.presses[k];
    CHECK(press.index == real.index);
    CHECK(press.arrival_ns == real.arrival.host_ns);
    CHECK(press.flashed == real.flash.has_value());
    CHECK(press.withheld == (real.flash ? "" : "lit"));
    if (real.flash) {
      CHECK(press.submit_ns == real.flash->submit.host_ns);
      CHECK(press.present_ns == real.flash->present.host_ns);
      CHECK(log.darks.at(flashed).submit_ns == real.flash->dark_submit.host_ns);
      CHECK(log.lamps.at(2 * flashed).switched_ns == real.lamp->switched_on.host_ns);
      CHECK(log.lamps.at(2 * flashed).on);
      CHECK_FALSE(log.lamps.at(2 * flashed + 1).on);
      ++flashed;
    }
  }
  CHECK(log.darks.size() == flashed);
  CHECK(log.lamps.size() == 2 * flashed);
  CHECK(log.header.display.refresh_hz == 60.0);
  CHECK(log.header.patch.w == 538);  // 0.28 of 1920
  REQUIRE(log.end);
  CHECK(log.end->presses == 60);
  CHECK_FALSE(log.cut);
}

TEST_CASE("exchanges hold the true offset between their stamps") {
  Settings settings;
  settings.recording = RecordingKind::kTable;
  settings.sensor.exchanges = 50;
  settings.host.theta1 = 25e-6;
  const Truth truth = make_truth(settings);
  const session::Log log = logged(truth);
  REQUIRE(log.exchanges.size() == 50);
  for (const session::Exchange& exchange : log.exchanges) {
    const std::int64_t t2_ns = truth.clocks.host_ns(truth.clocks.bench_s(exchange.t2_s));
    const std::int64_t t3_ns = truth.clocks.host_ns(truth.clocks.bench_s(exchange.t3_s));
    CHECK(t2_ns - exchange.t1_ns >= 200'000 - 1);
    CHECK(t3_ns >= t2_ns);
    CHECK(exchange.t4_ns - t3_ns >= 200'000 - 1);
  }
}

TEST_CASE("a log without presses is whole") {
  Settings settings;
  settings.press.count = 0;
  const session::Log log = logged(make_truth(settings));
  CHECK(log.presses.empty());
  REQUIRE(log.end);
  CHECK(log.end->presses == 0);
}
