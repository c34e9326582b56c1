#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <random>

#include "analysis/onset/extract.hpp"
#include "harness/session/error.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::onset;

namespace {

struct Trace {
  std::vector<double> press_s;
  std::vector<double> light_s;
  double seconds = 0;
  double tau_s = 0.002;
  double coupling_s = 0;
  double sign = 1;
  bool bounce = false;
};

Trace trace_of(int count) {
  std::mt19937 engine(2);
  std::uniform_real_distribution<double> gap(0.6, 0.9);
  Trace trace;
  double at_s = 0.4;
  for (int k = 0; k < count; ++k) {
    trace.press_s.push_back(at_s);
    trace.light_s.push_back(at_s + 0.03 + 0.001 * (k % 7));
    at_s += gap(engine);
  }
  trace.seconds = at_s;
  return trace;
}

double light_at(const Trace& trace, double t_s) {
  double level = 0;
  for (const double on_s : trace.light_s) {
    const double rise = t_s > on_s ? 1 - std::exp(-(t_s - on_s) / trace.tau_s) : 0;
    const double fall = t_s > on_s + 0.2 ? 1 - std::exp(-(t_s - on_s - 0.2) / trace.tau_s) : 0;
    level += rise - fall;
  }
  return level;
}

double contact_at(const Trace& trace, double t_s) {
  for (const double on_s : trace.press_s) {
    const double since_s = t_s - on_s;
    if (since_s >= 0 && since_s < 0.1) {
      const bool open = trace.bounce && ((since_s > 0.0006 && since_s < 0.0011) ||
                                         (since_s > 0.0019 && since_s < 0.0024));
      return open ? 0 : 1;
    }
  }
  return 0;
}

/// A WAV file of 16-bit samples, light first.
void write_wav(const Trace& trace, const std::filesystem::path& file) {
  constexpr int kRate = 48000;
  const auto samples = static_cast<std::uint32_t>(trace.seconds * kRate);
  std::ofstream out(file, std::ios::binary);
  const auto put = [&out](std::uint32_t value, int bytes) {
    for (int i = 0; i < bytes; ++i) {
      out.put(static_cast<char>(value >> (8 * i) & 0xff));
    }
  };
  out << "RIFF";
  put(36 + samples * 4, 4);
  out << "WAVEfmt ";
  put(16, 4);
  put(1, 2);
  put(2, 2);
  put(kRate, 4);
  put(kRate * 4, 4);
  put(4, 2);
  put(16, 2);
  out << "data";
  put(samples * 4, 4);
  std::mt19937 engine(5);
  std::normal_distribution<double> noise(0, 0.002);
  double memory[2] = {0, 0};
  double last[2] = {0, 0};
  for (std::uint32_t i = 0; i < samples; ++i) {
    const double t_s = static_cast<double>(i) / kRate;
    const double level[2] = {light_at(trace, t_s), contact_at(trace, t_s)};
    for (int c = 0; c < 2; ++c) {
      memory[c] = trace.coupling_s > 0
                      ? (memory[c] + level[c] - last[c]) * std::exp(-1.0 / kRate / trace.coupling_s)
                      : level[c];
      last[c] = level[c];
      const double value = trace.sign * 0.5 * memory[c] + noise(engine);
      put(static_cast<std::uint32_t>(std::lround(32767 * std::clamp(value, -1.0, 1.0))), 2);
    }
  }
}

void check(const Trace& trace, const Timings& timings, double margin_s) {
  REQUIRE(timings.presses.size() == trace.press_s.size());
  for (std::size_t k = 0; k < trace.press_s.size(); ++k) {
    REQUIRE(timings.presses[k].press);
    REQUIRE(timings.presses[k].light);
    CHECK(timings.presses[k].press->t_s == Approx(trace.press_s[k]).margin(3e-5));
    CHECK(timings.presses[k].light->t_s ==
          Approx(trace.light_s[k] - trace.tau_s * std::log(0.9)).margin(margin_s));
    CHECK(timings.presses[k].press->how == "contact");
  }
}

Timings read(const std::filesystem::path& file) {
  Request request;
  request.recording = file;
  return extract(request);
}

}  // namespace

TEST_CASE("a sensor's sound file is read to fractions of a millisecond") {
  const test::TemporaryFolder folder;
  const auto file = folder.path() / "sensor.wav";
  Trace trace = trace_of(12);
  SECTION("plain") {}
  SECTION("other polarity") {
    trace.sign = -1;
  }
  SECTION("AC-coupled") {
    trace.coupling_s = 0.04;
  }
  SECTION("bouncing contact") {
    trace.bounce = true;
  }
  write_wav(trace, file);
  const Timings timings = read(file);
  CHECK(timings.recording.kind == "sound");
  check(trace, timings, 1.5e-4);
}

TEST_CASE("a table of uneven, quantised samples is read") {
  const test::TemporaryFolder folder;
  const auto file = folder.path() / "sensor.csv";
  const Trace trace = trace_of(6);
  {
    std::ofstream out(file);
    out << "time_s,press,light\n";
    out.precision(9);
    for (int i = 0; i < static_cast<int>(trace.seconds * 20000); ++i) {
      const double t_s = i / 20000.0 + 1e-5 * (i * 7 % 3);
      out << t_s << ',' << contact_at(trace, t_s) << ','
          << std::round(200 * light_at(trace, t_s)) / 200 << '\n';
    }
  }
  check(trace, read(file), 1.5e-4);
}

TEST_CASE("traces without anything in them are refused") {
  const test::TemporaryFolder folder;
  const auto file = folder.path() / "flat.csv";
  {
    std::ofstream out(file);
    out << "time_s,press,light\n";
    for (int i = 0; i < 5000; ++i) {
      out << i * 0.001 << ",0," << 0.5 + 0.001 * (i * 7919 % 13) << '\n';
    }
  }
  CHECK_THROWS_WITH(read(file), Catch::Matchers::Contains("no light and no press"));
  std::ofstream(file) << "time_s,light\n0,1\n";
  CHECK_THROWS_WITH(read(file), Catch::Matchers::Contains("too few"));
}
