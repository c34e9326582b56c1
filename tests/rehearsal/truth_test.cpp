#include "analysis/rehearsal/truth.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>

#include "analysis/rehearsal/delivery.hpp"
#include "analysis/rehearsal/presets.hpp"

using namespace thumblight::rehearsal;

namespace {

constexpr double kNs = 1.001e-9;  ///< stamps are whole nanoseconds

void check_causality(const Truth& truth) {
  double ready = -1.0;
  for (const PressTruth& press : truth.presses) {
    REQUIRE(press.finger_start.bench_s <= press.contact.bench_s);
    REQUIRE(press.contact.bench_s <= press.finger_end.bench_s);
    REQUIRE(press.contact.bench_s < press.release.bench_s);
    REQUIRE(press.contact.bench_s <= press.arrival.bench_s + kNs);
    REQUIRE(press.edges.size() % 2 == 0);
    REQUIRE(press.edges.front().at.bench_s == press.contact.bench_s);
    REQUIRE(press.edges.back().at.bench_s == press.release.bench_s);
    REQUIRE_FALSE(press.edges.back().closed);
    if (!press.flash) {
      REQUIRE(press.arrival.bench_s <= ready);
      continue;
    }
    const Flash& flash = *press.flash;
    REQUIRE(press.arrival.bench_s > ready);
    REQUIRE(press.arrival.bench_s <= flash.submit.bench_s);
    REQUIRE(flash.submit.bench_s <= flash.flip.bench_s + kNs);
    REQUIRE(flash.flip.bench_s <= flash.present.bench_s + kNs);
    REQUIRE(flash.flip.bench_s <= flash.light.bench_s);
    REQUIRE(flash.light.bench_s <= flash.light_50.bench_s);
    REQUIRE(flash.light_50.bench_s <= flash.light_90.bench_s);
    REQUIRE(flash.light_90.bench_s < flash.dark_light.bench_s);
    REQUIRE(flash.dark_submit.bench_s - flash.submit.bench_s >= truth.settings.host.hold_s - kNs);
    ready = flash.dark_submit.bench_s + truth.settings.host.rest_s;
    if (press.lamp) {
      REQUIRE(press.lamp->switched_on.bench_s <= press.lamp->lit.bench_s);
    }
  }
}

struct Spread {
  double mean = 0;
  double variance = 0;
};

Spread spread(const std::vector<double>& values) {
  Spread result;
  for (const double value : values) {
    result.mean += value / static_cast<double>(values.size());
  }
  for (const double value : values) {
    result.variance += std::pow(value - result.mean, 2.0) / static_cast<double>(values.size() - 1);
  }
  return result;
}

Settings many_presses(std::int64_t count) {
  Settings settings;
  settings.press.count = count;
  return settings;
}

}  // namespace

TEST_CASE("cause comes before effect in every truth") {
  std::vector<Settings> all;
  for (const std::string& name : preset_names()) {
    for (const Pacing pacing : {Pacing::kOnPress, Pacing::kEveryFrame, Pacing::kFrameStart}) {
      for (const bool vsync : {true, false}) {
        for (const std::uint64_t seed : {1, 2, 3}) {
          Settings settings = preset(name);
          settings.press.count = 150;
          settings.press.bounces = 4;
          settings.press.repeat_share = 0.2;
          settings.host.pacing = pacing;
          settings.host.vsync = vsync || settings.game.kind != GameKind::kNone;  // as games ask
          settings.host.theta1 = 40e-6;
          settings.lamp.on_host = true;
          settings.seed = seed;
          all.push_back(settings);
        }
      }
    }
  }
  for (const Settings& settings : all) {
    const Truth truth = make_truth(settings);
    REQUIRE(truth.presses.size() == 150);
    check_causality(truth);
  }
}

TEST_CASE("host and recording times are tied by theta, exactly") {
  Settings settings = many_presses(200);
  settings.host.theta0_ns = 987'654'321'012'345'678;  // beyond what a double holds
  settings.host.theta1 = -37e-6;
  settings.host.theta2_per_s = 2e-9;
  const Truth truth = make_truth(settings);
  const auto error_ns = [&](const Moment& moment) {
    const long double t = moment.recording_s;
    const long double theta_s = -37e-6L * t + 2e-9L * t * t;
    return static_cast<double>(static_cast<long double>(moment.host_ns - 987'654'321'012'345'678) -
                               (t + theta_s) * 1e9L);
  };
  for (const PressTruth& press : truth.presses) {
    REQUIRE(std::abs(error_ns(press.contact)) <= 0.51);
    // What the host stamped is a whole number of nanoseconds, so nothing is lost at all.
    REQUIRE(std::abs(error_ns(press.arrival)) < 1e-3);
    REQUIRE(std::abs(error_ns(press.flash->submit)) < 1e-3);
    REQUIRE(std::abs(error_ns(press.flash->light)) <= 0.51);
  }
}

TEST_CASE("uniform polling delays by half an interval with variance P^2 / 12") {
  // Uniform distribution: any handbook. Five standard errors of 20 000 presses.
  Settings settings = many_presses(20'000);
  settings.delivery.interval_s = 0.008;
  settings.delivery.base_s = 0.001;
  std::vector<double> delays;
  for (const PressTruth& press : make_truth(settings).presses) {
    delays.push_back(press.arrival.bench_s - press.contact.bench_s);
    REQUIRE(delays.back() >= 0.001 - kNs);
    REQUIRE(delays.back() < 0.009 + kNs);
  }
  const double variance = 0.008 * 0.008 / 12.0;
  const Spread seen = spread(delays);
  CHECK(seen.mean == Approx(0.001 + 0.004).margin(5.0 * std::sqrt(variance / 20'000)));
  CHECK(seen.variance == Approx(variance).epsilon(0.04));
}

TEST_CASE("the wait for the refresh has mean T/2 and variance T^2/12") {
  Settings settings = many_presses(20'000);
  settings.delivery.model = DeliveryModel::kConstant;
  std::vector<double> waits;
  for (const PressTruth& press : make_truth(settings).presses) {
    waits.push_back(press.flash->flip.bench_s - press.flash->submit.bench_s);
  }
  const double interval = 1.0 / 60.0;
  const double variance = interval * interval / 12.0;
  CHECK(spread(waits).mean == Approx(interval / 2).margin(5.0 * std::sqrt(variance / 20'000)));
  CHECK(spread(waits).variance == Approx(variance).epsilon(0.04));
}

TEST_CASE("radio retries follow a geometric law") {
  // Mean number of failures q / (1 - q): any handbook; each costs one radio interval.
  DeliverySettings settings;
  settings.model = DeliveryModel::kWireless;
  settings.base_s = 0.0;
  settings.interval_s = 0.001;
  settings.radio_interval_s = 0.010;
  settings.radio_loss = 0.25;
  Delivery delivery(settings, 4);
  Random random(9, Stream::kPresses);
  std::vector<double> delays;
  double contact = 0.0;
  for (int k = 0; k < 50'000; ++k) {
    contact += random.uniform(0.7, 1.1);
    delays.push_back(delivery.arrival_s(contact) - contact);
  }
  const double mean = 0.005 + 0.010 * 0.25 / 0.75 + 0.0005;
  CHECK(spread(delays).mean == Approx(mean).margin(0.0005));
  const double variance = 0.010 * 0.010 * (1.0 / 12.0 + 0.25 / (0.75 * 0.75));
  CHECK(spread(delays).variance == Approx(variance).epsilon(0.05));
}

TEST_CASE("a gamma delay has the mean k theta") {
  Settings settings = many_presses(20'000);
  settings.delivery.model = DeliveryModel::kGamma;
  std::vector<double> delays;
  for (const PressTruth& press : make_truth(settings).presses) {
    delays.push_back(press.arrival.bench_s - press.contact.bench_s);
  }
  CHECK(spread(delays).mean == Approx(0.001 + 2.0 * 0.002).epsilon(0.03));
  CHECK(spread(delays).variance == Approx(2.0 * 0.002 * 0.002).epsilon(0.08));
}

TEST_CASE("the light of the truth is flip, queue, scan-out and a tenth of the rise") {
  Settings settings = many_presses(50);
  settings.display.queued_refreshes = 2;
  settings.display.processing_s = 0.003;
  settings.display.patch_y = 0.1;
  settings.display.patch_h = 0.2;
  const double interval = 1.0 / 60.0;
  const double tau = settings.display.rise_s / std::log(9.0);
  const double expected = 2 * interval + 0.003 + 0.2 * 0.96 * interval + tau * std::log(1.0 / 0.9);
  for (const PressTruth& press : make_truth(settings).presses) {
    CHECK(press.flash->light.bench_s - press.flash->flip.bench_s == Approx(expected));
    CHECK(press.flash->light_90.bench_s - press.flash->light.bench_s ==
          Approx(settings.display.rise_s));
  }
  settings.display.scan = ScanDirection::kUp;
  const PressTruth up = make_truth(settings).presses.front();
  CHECK(up.flash->light.bench_s - up.flash->flip.bench_s ==
        Approx(expected + (0.8 - 0.2) * 0.96 * interval));
}

TEST_CASE("pacings submit where they say") {
  Settings settings = many_presses(300);
  settings.host.pacing = Pacing::kEveryFrame;
  for (const PressTruth& press : make_truth(settings).presses) {
    REQUIRE(press.flash->flip.bench_s - press.flash->submit.bench_s ==
            Approx(settings.host.guard_s).margin(2e-9));
    REQUIRE(press.flash->flip.bench_s - press.arrival.bench_s <
            1.0 / 60.0 + settings.host.guard_s + 1e-8);
  }
  settings.host.pacing = Pacing::kFrameStart;
  for (const PressTruth& press : make_truth(settings).presses) {
    const double wait = press.flash->flip.bench_s - press.arrival.bench_s;
    REQUIRE(wait > 1.0 / 60.0 - settings.host.return_max_s - settings.host.work_max_s - 1e-3);
    REQUIRE(wait < 2.0 / 60.0 + 1e-3);
  }
}

TEST_CASE("presses while the patch is lit or resting are not flashed") {
  Settings settings = many_presses(400);
  settings.press.repeat_share = 0.3;
  std::size_t withheld = 0;
  for (const PressTruth& press : make_truth(settings).presses) {
    withheld += press.flash ? 0 : 1;
  }
  CHECK(withheld > 50);
  CHECK(withheld < 200);
  settings.press.repeat_share = 0.0;
  for (const PressTruth& press : make_truth(settings).presses) {
    REQUIRE(press.flash);
  }
}

TEST_CASE("no presses make a truth too") {
  const Truth truth = make_truth(many_presses(0));
  CHECK(truth.presses.empty());
  CHECK(truth.changes.empty());
  CHECK(truth.end_s > 0.0);
}

TEST_CASE("what the camera does leaves the presses as they were") {
  Settings settings = many_presses(20);
  const std::string before = truth_text(make_truth(settings));
  CHECK(truth_text(make_truth(settings)) == before);
  const double light = make_truth(settings).presses.back().flash->light.bench_s;
  settings.camera.read_noise = 0.1;
  settings.camera.dropped = 0.2;
  CHECK(make_truth(settings).presses.back().flash->light.bench_s == light);
  settings.seed = 2;
  CHECK(make_truth(settings).presses.back().flash->light.bench_s != light);
}

TEST_CASE("the truth's text holds what the truth holds") {
  const Truth truth = make_truth(many_presses(3));
  const nlohmann::json text = nlohmann::json::parse(truth_text(truth));
  CHECK(text.at("format") == "thumblight-truth");
  REQUIRE(text.at("presses").size() == 3);
  const auto& press = text.at("presses").at(2);
  CHECK(press.at("press_s") == truth.presses[2].contact.recording_s);
  CHECK(press.at("arrival_ns") == truth.presses[2].arrival.host_ns);
  CHECK(press.at("flash").at("light_s") == truth.presses[2].flash->light.recording_s);
  CHECK(press.at("host_lamp").is_null());
  CHECK(text.at("video").is_null());
  CHECK(text.at("settings").at("camera").at("nominal_hz") == 240.0);
}
