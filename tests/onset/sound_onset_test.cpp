#include "analysis/onset/sound_onset.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using namespace thumblight::onset;

namespace {

std::vector<float> room(double noise) {
  std::mt19937 engine(6);
  std::normal_distribution<double> random(0, noise);
  std::vector<float> samples(24000);
  for (std::size_t i = 0; i < samples.size(); ++i) {
    const double hum = 0.05 * std::sin(2 * 3.14159265 * 50 * static_cast<double>(i) / 48000);
    samples[i] = static_cast<float>(hum + random(engine));
  }
  return samples;
}

}  // namespace

TEST_CASE("a click is found to within its uncertainty, over hum and noise") {
  std::vector<float> samples = room(0.002);
  for (int i = 0; i < 200; ++i) {
    samples[static_cast<std::size_t>(12000 + i)] +=
        static_cast<float>(0.3 * std::exp(-i / 60.0) * std::sin(i * 0.6));
  }
  const auto onsets = find_sound_onsets(samples, 2.0, 48000);
  REQUIRE(onsets.size() == 1);
  CHECK(onsets[0].time_s == Approx(2.25).margin(2 * onsets[0].u_s + 2e-5));
  CHECK(onsets[0].u_s < 1e-3);
}

TEST_CASE("noise alone holds no click") {
  CHECK(find_sound_onsets(room(0.002), 0, 48000).empty());
  CHECK(find_sound_onsets({}, 0, 48000).empty());
}
