#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <sstream>

#include "analysis/rehearsal/rehearse.hpp"
#include "harness/session/reader.hpp"
#include "tests/rehearsal/ffmpeg_tools.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::rehearsal;

namespace {

Settings quiet(RecordingKind kind) {
  Settings settings;
  settings.recording = kind;
  settings.press.count = 3;
  settings.press.first_s = 0.2;
  settings.sensor.noise = 0.0;
  settings.display.rise_s = 0.0;
  settings.display.fall_s = 0.0;
  settings.host.theta1 = 30e-6;
  return settings;
}

/// When a trace first crosses a level after a time, between the samples by straight lines.
double crossing_s(const std::vector<double>& sound, std::size_t channel, double level, double rate,
                  double after_s) {
  for (auto n = static_cast<std::size_t>(after_s * rate); 2 * n + 3 < sound.size(); ++n) {
    const double before = sound[2 * n + channel];
    const double after = sound[2 * n + 2 + channel];
    if ((before - level) * (after - level) <= 0.0 && before != after) {
      return (static_cast<double>(n) + (level - before) / (after - before)) / rate;
    }
  }
  return -1.0;
}

struct Row {
  double time_s = 0;
  double press = 0;
  double light = 0;
};

std::vector<Row> table(const std::filesystem::path& file) {
  std::ifstream input(file);
  std::string line;
  std::getline(input, line);
  REQUIRE(line == "time_s,press,light");
  std::vector<Row> rows;
  while (std::getline(input, line)) {
    Row row;
    char comma = 0;
    std::istringstream(line) >> row.time_s >> comma >> row.press >> comma >> row.light;
    rows.push_back(row);
  }
  return rows;
}

}  // namespace

TEST_CASE("the edges of a sound file lie within half a sample of the truth") {
  for (const SoundFile kind : {SoundFile::kWav, SoundFile::kW64, SoundFile::kFlac}) {
    for (const int bits : {16, 24}) {
      Settings settings = quiet(RecordingKind::kSoundFile);
      settings.sensor.file = kind;
      settings.sensor.bits = bits;
      const test::TemporaryFolder folder;
      const Truth truth = rehearse(settings, folder.path());
      const std::vector<double> sound = test::sound_of(folder.path() / truth.recording);
      REQUIRE(sound.size() == 2 * static_cast<std::size_t>(truth.sensor->samples));
      const double half = 0.5 / 48'000.0;
      double after_s = 0.0;
      for (const PressTruth& press : truth.presses) {
        CHECK(crossing_s(sound, 1, 0.25, 48'000.0, after_s) ==
              Approx(press.contact.recording_s).margin(half));
        CHECK(crossing_s(sound, 0, 0.25, 48'000.0, after_s) ==
              Approx(press.flash->light.recording_s).margin(half));
        const double lit_s = press.flash->light.recording_s + 0.01;
        CHECK(crossing_s(sound, 0, 0.25, 48'000.0, lit_s) ==
              Approx(press.flash->dark_light.recording_s).margin(half));
        CHECK(crossing_s(sound, 1, 0.25, 48'000.0, press.contact.recording_s + 0.001) ==
              Approx(press.release.recording_s).margin(half));
        after_s = press.flash->dark_light.recording_s + 0.05;
      }
    }
  }
}

TEST_CASE("channels can be swapped and turned over") {
  Settings settings = quiet(RecordingKind::kSoundFile);
  const test::TemporaryFolder plain;
  const test::TemporaryFolder turned;
  rehearse(settings, plain.path());
  settings.sensor.light_first = false;
  settings.sensor.invert_light = true;
  settings.sensor.invert_contact = true;
  rehearse(settings, turned.path());
  const std::vector<double> a = test::sound_of(plain.path() / "sensor.wav");
  const std::vector<double> b = test::sound_of(turned.path() / "sensor.wav");
  REQUIRE(a.size() == b.size());
  for (std::size_t n = 0; n < a.size(); n += 2) {
    REQUIRE(a[n] == Approx(-b[n + 1]).margin(1e-9));
    REQUIRE(a[n + 1] == Approx(-b[n]).margin(1e-9));
  }
}

TEST_CASE("a step through an AC coupling decays with its time constant") {
  Settings settings = quiet(RecordingKind::kSoundFile);
  settings.sensor.ac_coupling_s = 0.02;
  settings.sensor.bits = 24;
  const test::TemporaryFolder folder;
  const Truth truth = rehearse(settings, folder.path());
  const std::vector<double> sound = test::sound_of(folder.path() / "sensor.wav");
  const auto at = [&](double t_s) {
    return sound[2 * static_cast<std::size_t>(std::llround(t_s * 48'000.0)) + 1];
  };
  const double contact_s = truth.presses[0].contact.recording_s;
  // 0.5 exp(-t / 20 ms): any handbook of circuits.
  CHECK(at(contact_s + 0.001) == Approx(0.5 * std::exp(-0.05)).epsilon(0.002));
  CHECK(at(contact_s + 0.04) == Approx(0.5 * std::exp(-2.0)).epsilon(0.002));
  // On opening it swings the other way.
  const double release_s = truth.presses[0].release.recording_s;
  CHECK(at(release_s + 0.001) < -0.4);
}

TEST_CASE("a slow light sensor lags by its time constant") {
  Settings settings = quiet(RecordingKind::kSoundFile);
  settings.sensor.light_filter_s = 0.001;
  settings.sensor.bits = 24;
  const test::TemporaryFolder folder;
  const Truth truth = rehearse(settings, folder.path());
  const std::vector<double> sound = test::sound_of(folder.path() / "sensor.wav");
  const double light_s = truth.presses[0].flash->light.recording_s;
  const double dark = 0.5 * 0.01 / 0.6;
  const double level = dark + (0.5 - dark) * (1.0 - std::exp(-1.0));
  CHECK(crossing_s(sound, 0, level, 48'000.0, 0.0) == Approx(light_s + 0.001).margin(1.0 / 48'000));
}

TEST_CASE("a bouncing contact opens and closes as the truth lists") {
  Settings settings = quiet(RecordingKind::kSoundFile);
  settings.sensor.rate_hz = 192'000;
  settings.press.count = 1;
  settings.press.bounces = 3;
  const test::TemporaryFolder folder;
  const Truth truth = rehearse(settings, folder.path());
  const std::vector<double> sound = test::sound_of(folder.path() / "sensor.wav");
  const auto& edges = truth.presses[0].edges;
  REQUIRE(edges.size() == 8);
  for (std::size_t k = 0; k + 1 < edges.size(); ++k) {
    const double from_s = edges[k].at.recording_s;
    const double to_s = edges[k + 1].at.recording_s;
    if (to_s - from_s > 3.0 / 192'000) {
      const auto n = static_cast<std::size_t>(std::llround(0.5 * (from_s + to_s) * 192'000));
      CHECK(sound[2 * n + 1] == Approx(edges[k].closed ? 0.5 : 0.0).margin(1e-4));
    }
  }
}

TEST_CASE("a table has uneven times and whole levels of its converter") {
  Settings settings = quiet(RecordingKind::kTable);
  settings.sensor.rate_hz = 5000.0;
  settings.sensor.bits = 10;
  const test::TemporaryFolder folder;
  const Truth truth = rehearse(settings, folder.path());
  const std::vector<Row> rows = table(folder.path() / "sensor.csv");
  REQUIRE(rows.size() == static_cast<std::size_t>(truth.sensor->samples));
  const double contact_s = truth.presses[0].contact.recording_s;
  const double light_s = truth.presses[0].flash->light.recording_s;
  bool even = true;
  for (std::size_t k = 1; k < rows.size(); ++k) {
    const double interval_s = rows[k].time_s - rows[k - 1].time_s;
    REQUIRE(interval_s > 0.0);
    even = even && std::abs(interval_s - 0.0002) < 1e-7;
    REQUIRE(rows[k].light == std::floor(rows[k].light));
    REQUIRE(rows[k].light >= 0.0);
    REQUIRE(rows[k].light <= 1023.0);
    if (rows[k].time_s < contact_s) {
      REQUIRE(rows[k].press == 0.0);
    }
    if (rows[k].time_s < light_s) {
      REQUIRE(rows[k].light < 20.0);
    } else if (rows[k - 1].time_s > light_s && rows[k].time_s < light_s + 0.05) {
      REQUIRE(rows[k].light == 512.0);
      REQUIRE(rows[k].press == 512.0);
    }
  }
  CHECK_FALSE(even);
}

TEST_CASE("a table can be stamped on the host's clock") {
  Settings settings = quiet(RecordingKind::kTable);
  settings.sensor.rate_hz = 1000.0;
  settings.sensor.host_stamps = true;
  settings.host.theta0_ns = 5'000'000'000;
  const test::TemporaryFolder folder;
  const Truth truth = rehearse(settings, folder.path());
  const std::vector<Row> rows = table(folder.path() / "sensor.csv");
  const session::Log log = session::read_log(folder.path() / "session.jsonl");
  double before_s = 0.0;
  for (const Row& row : rows) {
    if (row.press > 0.0) {
      const double contact_s = static_cast<double>(truth.presses[0].contact.host_ns) * 1e-9;
      CHECK(row.time_s >= contact_s - 1e-9);
      CHECK(before_s <= contact_s + 1e-9);
      CHECK(row.time_s < static_cast<double>(log.presses[0].arrival_ns) * 1e-9 + 0.002);
      return;
    }
    before_s = row.time_s;
  }
  FAIL("no press in the table");
}

TEST_CASE("the same settings make the same traces") {
  for (const RecordingKind kind : {RecordingKind::kSoundFile, RecordingKind::kTable}) {
    Settings settings = quiet(kind);
    settings.sensor.noise = 0.01;
    settings.sensor.rate_hz = 8000;
    const test::TemporaryFolder first;
    const test::TemporaryFolder second;
    const Truth truth = rehearse(settings, first.path());
    rehearse(settings, second.path());
    std::ifstream a(first.path() / truth.recording, std::ios::binary);
    std::ifstream b(second.path() / truth.recording, std::ios::binary);
    const std::string bytes_a((std::istreambuf_iterator<char>(a)), {});
    const std::string bytes_b((std::istreambuf_iterator<char>(b)), {});
    CHECK(bytes_a.size() > 1000);
    CHECK(bytes_a == bytes_b);
  }
}
