#include "analysis/onset/schedule.hpp"

#include <catch2/catch.hpp>
#include <random>

using namespace thumblight::onset;

namespace {

std::vector<double> flashes(int count, unsigned seed) {
  std::mt19937 engine(seed);
  std::uniform_real_distribution<double> gap(0.7, 1.4);
  std::vector<double> times = {5};
  while (static_cast<int>(times.size()) < count) {
    times.push_back(times.back() + gap(engine));
  }
  return times;
}

std::vector<double> lights(const std::vector<double>& flash_s, double rate, double offset_s) {
  std::mt19937 engine(8);
  std::uniform_real_distribution<double> delay(0.01, 0.027);
  std::vector<double> times;
  for (const double flash : flash_s) {
    times.push_back((flash + delay(engine) - offset_s) / rate);
  }
  return times;
}

}  // namespace

TEST_CASE("the rate is told to parts in ten thousand within a minute") {
  const std::vector<double> flash_s = flashes(60, 1);
  const ScheduleFit fit = fit_schedule(flash_s, lights(flash_s, 1.001, 100), 1);
  CHECK(fit.pairs.size() == 60);
  CHECK(fit.rate == Approx(1.001).margin(1e-4));
  CHECK(fit.rate_u < 1e-4);
}

TEST_CASE("missing and extra lights are left over") {
  const std::vector<double> flash_s = flashes(30, 2);
  std::vector<double> light_s = lights(flash_s, 1, -3);
  light_s.erase(light_s.begin() + 12);
  light_s.erase(light_s.begin(), light_s.begin() + 4);
  light_s.push_back(light_s.back() + 0.21);
  const ScheduleFit fit = fit_schedule(flash_s, light_s, 1);
  CHECK(fit.pairs.size() == 25);
  CHECK(fit.rate == Approx(1).margin(5e-4));
  CHECK(fit.pairs.front().first == 4);
}

TEST_CASE("another session's lights do not fit") {
  const std::vector<double> flash_s = flashes(30, 3);
  const ScheduleFit fit = fit_schedule(flash_s, lights(flashes(30, 77), 1, 0), 1);
  CHECK(fit.pairs.size() < 18);
  CHECK(fit_schedule({}, {}, 1).pairs.empty());
}
