#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "analysis/onset/extract.hpp"
#include "harness/session/error.hpp"
#include "tests/onset/made_film.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::onset;

namespace {

struct Score {
  int presses = 0;
  int lights = 0;
  double press_bias_s = 0;
  double light_bias_s = 0;
  double total_bias_s = 0;
  double total_sd_s = 0;
  double covered = 0;
};

/// Reads the film and holds it against what was drawn; 10 % of a first-order rise is 0.105 tau.
Score score(const test::MadeFilm& film, const Timings& timings) {
  Score score;
  const double late_s = -film.decay_s * std::log(0.9);
  std::vector<double> totals;
  std::size_t next = 0;
  for (const PressTiming& timing : timings.presses) {
    score.presses += timing.press ? 1 : 0;
    score.lights += timing.light ? 1 : 0;
    if (!timing.press || !timing.light || next >= film.light_s.size()) {
      continue;
    }
    const double press = timing.press->t_s - film.press_s[next];
    const double light = timing.light->t_s - film.light_s[next] - late_s;
    score.press_bias_s += press;
    score.light_bias_s += light;
    totals.push_back(light - press);
    score.covered +=
        std::abs(light - press) <= 2 * std::hypot(*timing.press->u_s, *timing.light->u_s) ? 1 : 0;
    ++next;
  }
  const auto n = static_cast<double>(std::max<std::size_t>(next, 1));
  score.press_bias_s /= n;
  score.light_bias_s /= n;
  score.covered /= n;
  for (const double total : totals) {
    score.total_bias_s += total / n;
  }
  for (const double total : totals) {
    score.total_sd_s += (total - score.total_bias_s) * (total - score.total_bias_s) / n;
  }
  score.total_sd_s = std::sqrt(score.total_sd_s);
  return score;
}

Timings extracted(const test::MadeFilm& film, const std::filesystem::path& file,
                  const Setup& setup) {
  test::make(film, file);
  Request request;
  request.recording = file;
  request.setup = setup;
  return extract(request);
}

test::MadeFilm plain_film() {
  test::MadeFilm film;
  test::schedule(film, 14, [](int k) { return 0.034 + 0.0007 * (k * 5 % 11); });
  return film;
}

/// A bar slides 14 pixels within 20 ms and back; the contact is taken at three quarters of the way.
std::function<double(double)> sliding(const std::vector<double>& press_s) {
  return [press_s](double t_s) {
    double x = 120;
    for (const double at_s : press_s) {
      const double down = std::clamp((t_s - at_s + 0.015) / 0.020, 0.0, 1.0);
      const double up = std::clamp((t_s - at_s - 0.15) / 0.030, 0.0, 1.0);
      x += 14 * (down * down * (3 - 2 * down) - up * up * (3 - 2 * up));
    }
    return x;
  };
}

}  // namespace

TEST_CASE("lamp and light of a film of another make are timed within a fraction of a frame") {
  const test::TemporaryFolder folder;
  for (const double share : {0.85, 0.4}) {
    for (const bool rolling : {false, true}) {
      test::MadeFilm film = plain_film();
      film.exposure_share = share;
      film.readout_s = rolling ? 0.0035 : 0;
      film.scan_s = rolling ? 0.006 : 0;
      Setup setup;
      setup.readout_s = film.readout_s;
      const Score found = score(film, extracted(film, folder.path() / "film.mp4", setup));
      INFO("exposure " << share << ", rolling " << rolling);
      CHECK(found.presses == 14);
      CHECK(found.lights == 14);
      CHECK(std::abs(found.press_bias_s) < 4e-4);
      CHECK(std::abs(found.light_bias_s) < 4e-4);
      CHECK(std::abs(found.total_bias_s) < 4e-4);
      const double dead_s = (1 - share) / film.rate_hz;
      CHECK(found.total_sd_s < std::sqrt(2.0) * (dead_s / std::sqrt(12.0) + 2e-4));
      CHECK(found.covered >= 0.85);
    }
  }
}

TEST_CASE("what an unstated readout leaves open is in each instant's doubt, by its row") {
  const test::TemporaryFolder folder;
  test::MadeFilm film = plain_film();
  film.readout_s = 0.0035;
  film.scan_s = 0.0035;  // all rows of the patch are seen alike, so the film does not tell it
  const Timings timings = extracted(film, folder.path() / "film.mp4", {});
  CHECK(timings.recording.camera->readout_source == "unknown");
  // Anything up to a frame (JCGM 100:2008, 4.3.7, from the end of the range on), of which a row at
  // y bears its share.
  const double readout_u_s = 1 / film.rate_hz / std::sqrt(3.0);
  const double light_u_s = readout_u_s * (test::kPatchY + test::kPatchH / 2.0) / film.height;
  const double press_u_s = readout_u_s * (test::kLampY + test::kLampH / 2.0) / film.height;
  const auto shared = [&](const std::string& on) {
    for (const SharedDoubt& doubt : timings.recording.shared) {
      if (doubt.source == kReadout && doubt.on == on) {
        return doubt.u_s;
      }
    }
    return 0.0;
  };
  CHECK(shared("light") == Approx(light_u_s).epsilon(0.05));
  CHECK(shared("press") == Approx(press_u_s).epsilon(0.05));
  CHECK(shared("total") == 0);
  REQUIRE(timings.presses.size() == film.light_s.size());
  const double late_s = -film.decay_s * std::log(0.9);
  for (std::size_t k = 0; k < timings.presses.size(); ++k) {
    const PressTiming& timing = timings.presses[k];
    REQUIRE(timing.light);
    REQUIRE(timing.press);
    CHECK(*timing.light->u_s > shared("light"));
    CHECK(*timing.press->u_s > shared("press"));
    CHECK(std::abs(timing.light->t_s - film.light_s[k] - late_s) < 2 * *timing.light->u_s);
    CHECK(std::abs(timing.press->t_s - film.press_s[k]) < 2 * *timing.press->u_s);
  }
  // A stated one leaves nothing open.
  Setup setup;
  setup.readout_s = film.readout_s;
  for (const SharedDoubt& doubt :
       extracted(film, folder.path() / "film.mp4", setup).recording.shared) {
    CHECK(doubt.source != kReadout);
  }
}

TEST_CASE("a tube's pulse is timed by where it begins, not by its middle") {
  const test::TemporaryFolder folder;
  test::MadeFilm film;
  test::schedule(film, 20, [](int k) { return 0.034 + 0.0007 * (k * 5 % 11); });
  film.pulse_hz = 59.94;
  film.decay_s = 0.0008;
  film.scan_s = 0.006;
  for (const double share : {0.9, 0.65}) {
    film.exposure_share = share;
    Setup setup;
    setup.readout_s = 0;
    setup.patch = Region{test::kPatchX, test::kPatchY, test::kPatchW, test::kPatchH};
    const Timings timings = extracted(film, folder.path() / "tube.mp4", setup);
    INFO("exposure " << share);
    REQUIRE(timings.presses.size() == film.light_s.size());
    double bias_s = 0;
    for (std::size_t i = 0; i < film.light_s.size(); ++i) {
      REQUIRE(timings.presses[i].light);
      const Instant& light = *timings.presses[i].light;
      bias_s += (light.t_s - film.light_s[i]) / static_cast<double>(film.light_s.size());
      CHECK(std::abs(light.t_s - film.light_s[i]) < 3 * *light.u_s);
      CHECK_FALSE(light.t90_s);
    }
    CHECK(std::abs(bias_s) < 3e-4);
    CHECK(*timings.recording.camera->exposure_s * film.rate_hz == Approx(share).margin(0.08));
    // Twenty lamps alone would tell 0.65 to 0.107 of the frame's time, 0.9 to 0.067.
    CHECK(*timings.recording.camera->exposure_u_s * film.rate_hz < 0.06);
    CHECK_FALSE(timings.recording.light->rise_s);
    CHECK(std::any_of(timings.warnings.begin(), timings.warnings.end(),
                      [](const Warning& warning) { return warning.code == "light-pulsed"; }));
  }
}

TEST_CASE("of two lights that keep the log's time, the patch is the one that fits clearly better") {
  // The log says 150 ms. A lamp held for 141 ms is no better a patch than one seen for 136.
  const test::TemporaryFolder folder;
  test::MadeFilm film = plain_film();
  film.hold_s = 0.136;
  film.lamp_hold_s = 0.141;
  session::Log log;
  for (std::size_t i = 0; i < film.light_s.size(); ++i) {
    const auto submit_ns = static_cast<std::int64_t>((film.light_s[i] - 0.003) * 1e9);
    session::Press press;
    press.index = static_cast<std::int64_t>(i);
    press.arrival_ns = submit_ns - 1'000'000;
    press.submit_ns = submit_ns;
    press.flashed = true;
    log.presses.push_back(press);
    session::Dark dark;
    dark.index = press.index;
    dark.submit_ns = submit_ns + 150'000'000;
    log.darks.push_back(dark);
  }
  test::make(film, folder.path() / "film.mp4");
  Request request;
  request.recording = folder.path() / "film.mp4";
  request.setup.readout_s = 0;
  request.log = &log;
  const Score found = score(film, extract(request));
  CHECK(found.lights == 14);
  CHECK(found.presses == 14);
  CHECK(std::abs(found.total_bias_s) < 4e-4);
}

TEST_CASE("a film stored as slow motion gives the same milliseconds") {
  const test::TemporaryFolder folder;
  test::MadeFilm film = plain_film();
  film.input = "-vf setpts=N/30/TB -r 30";
  Setup setup;
  setup.readout_s = 0;
  setup.capture_rate_hz = 240;
  const Timings timings = extracted(film, folder.path() / "slow.mp4", setup);
  CHECK(timings.recording.clock.source == "capture-rate");
  const Score found = score(film, timings);
  CHECK(found.lights == 14);
  CHECK(std::abs(found.total_bias_s) < 4e-4);
}

TEST_CASE("a light with no press and a press with no light are kept apart") {
  const test::TemporaryFolder folder;
  test::MadeFilm film = plain_film();
  film.press_s.erase(film.press_s.begin() + 5);
  film.light_s.erase(film.light_s.begin() + 9);
  Setup setup;
  setup.readout_s = 0;
  const Timings timings = extracted(film, folder.path() / "film.mp4", setup);
  REQUIRE(timings.presses.size() == 14);
  int lonely_presses = 0;
  int lonely_lights = 0;
  for (const PressTiming& timing : timings.presses) {
    lonely_presses += !timing.light ? 1 : 0;
    lonely_lights += !timing.press ? 1 : 0;
  }
  CHECK(lonely_presses == 1);
  CHECK(lonely_lights == 1);
}

TEST_CASE("a finger that moves is timed within its stroke, in noise too") {
  const test::TemporaryFolder folder;
  for (const double noise_codes : {1.0, 20.0}) {
    test::MadeFilm film = plain_film();
    film.lamp = false;
    film.noise_codes = noise_codes;
    film.hand = sliding(film.press_s);
    Setup setup;
    setup.readout_s = 0;
    const Timings timings = extracted(film, folder.path() / "film.mp4", setup);
    const Score found = score(film, timings);
    INFO("noise " << noise_codes);
    CHECK(found.presses == 14);
    CHECK(std::abs(found.press_bias_s) < 4e-3);
    REQUIRE(timings.presses.size() == film.press_s.size());
    for (std::size_t k = 0; k < timings.presses.size(); ++k) {
      REQUIRE(timings.presses[k].press);
      const Instant& press = *timings.presses[k].press;
      CHECK(press.how == "finger");
      CHECK(*press.from_s <= film.press_s[k]);
      CHECK(*press.to_s >= film.press_s[k]);
      CHECK(std::abs(press.t_s - film.press_s[k]) < 2 * *press.u_s);
    }
  }
}

TEST_CASE("what moves at times of its own is no press") {
  const test::TemporaryFolder folder;
  test::MadeFilm film = plain_film();
  film.lamp = false;
  // The same bar slides there and back every 0.37 s; the lights come every 0.5 s and more.
  film.hand = [](double t_s) {
    const double since_s = std::fmod(t_s, 0.37);
    const double there = std::clamp(since_s / 0.020, 0.0, 1.0);
    const double back = std::clamp((since_s - 0.15) / 0.030, 0.0, 1.0);
    return 120 + 14 * (there * there * (3 - 2 * there) - back * back * (3 - 2 * back));
  };
  Setup setup;
  setup.readout_s = 0;
  const Timings timings = extracted(film, folder.path() / "film.mp4", setup);
  CHECK(score(film, timings).presses == 0);
  CHECK(score(film, timings).lights == 14);
  CHECK(std::any_of(timings.warnings.begin(), timings.warnings.end(),
                    [](const Warning& warning) { return warning.code == "no-press-found"; }));
}

// The sound is placed with the accuracy of a sample by ffmpeg's own expression.
TEST_CASE("the click in the sound track gives the press, less its way through the air") {
  const test::TemporaryFolder folder;
  test::MadeFilm film = plain_film();
  film.lamp = false;
  test::make(film, folder.path() / "silent.mp4");
  std::string click = "0.002*(random(0)-0.5)";
  for (const double press_s : film.press_s) {
    char term[128];
    const long long sample = std::llround((press_s + 0.343 / 343.2) * 48000);
    std::snprintf(term, sizeof term,
                  "+if(between(n,%lld,%lld),0.4*exp(-(n-%lld)/60)*sin((n-%lld)*0.9),0)", sample,
                  sample + 800, sample, sample);
    click += term;
  }
  test::run("ffmpeg -v error -y -i '" + (folder.path() / "silent.mp4").string() +
            "' -f lavfi -i \"aevalsrc='" + click + "':s=48000:d=" + std::to_string(film.seconds) +
            "\" -c:v copy -c:a pcm_s16le '" + (folder.path() / "film.mov").string() + "'");
  Request request;
  request.recording = folder.path() / "film.mov";
  request.setup.readout_s = 0;
  request.setup.press_from = "sound";
  request.setup.sound_distance_m = 0.343;
  request.setup.sound_offset_u_s = 1e-4;
  const Timings timings = extract(request);
  const Score found = score(film, timings);
  REQUIRE(found.presses == 14);
  CHECK(std::abs(found.press_bias_s) < 1.5e-4);
  CHECK(timings.presses[0].press->how == "sound");
}

TEST_CASE("sounds that know nothing of the lights are no clicks") {
  const test::TemporaryFolder folder;
  test::MadeFilm film = plain_film();
  film.lamp = false;
  test::make(film, folder.path() / "silent.mp4");
  // A tap every 0.31 s.
  test::run("ffmpeg -v error -y -i '" + (folder.path() / "silent.mp4").string() +
            "' -f lavfi -i \"aevalsrc='0.002*(random(0)-0.5)+0.4*exp(-mod(n,14880)/60)*sin(mod(n,"
            "14880)*0.9)':s=48000:d=" +
            std::to_string(film.seconds) + "\" -c:v copy -c:a pcm_s16le '" +
            (folder.path() / "film.mov").string() + "'");
  Request request;
  request.recording = folder.path() / "film.mov";
  request.setup.readout_s = 0;
  const Score found = score(film, extract(request));
  CHECK(found.presses == 0);
  CHECK(found.lights == 14);
}

TEST_CASE("half the frame rate gives the same mean within its uncertainty") {
  const test::TemporaryFolder folder;
  test::MadeFilm film = plain_film();
  film.exposure_share = 0.9;
  Setup setup;
  setup.readout_s = 0;
  const Timings whole = extracted(film, folder.path() / "whole.mp4", setup);
  film.rate_hz = 120;
  film.exposure_share = 0.45;
  const Timings half = extracted(film, folder.path() / "half.mp4", setup);
  REQUIRE(whole.presses.size() == half.presses.size());
  double shift_s = 0;
  double variance = 0;
  for (std::size_t i = 0; i < half.presses.size(); ++i) {
    const auto total = [](const PressTiming& t) { return t.light->t_s - t.press->t_s; };
    shift_s += (total(half.presses[i]) - total(whole.presses[i])) / 14;
    variance +=
        (std::pow(*half.presses[i].light->u_s, 2) + std::pow(*half.presses[i].press->u_s, 2)) / 14 /
        14;
  }
  CHECK(std::abs(shift_s) < 2 * std::sqrt(variance) + 2e-4);
}

TEST_CASE("regions and evidence are drawn") {
  const test::TemporaryFolder folder;
  test::MadeFilm film = plain_film();
  test::make(film, folder.path() / "film.mp4");
  Request request;
  request.recording = folder.path() / "film.mp4";
  request.evidence = folder.path();
  const Timings timings = extract(request);
  CHECK(std::filesystem::file_size(folder.path() / "regions.png") > 500);
  for (int k = 0; k < 14; ++k) {
    char name[32];
    std::snprintf(name, sizeof name, "press-%03d.jpg", k);
    CHECK(std::filesystem::file_size(folder.path() / "evidence" / name) > 500);
  }
  const Region patch = *timings.recording.camera->patch;
  CHECK(patch.x == Approx(test::kPatchX).margin(5));
  CHECK(patch.w == Approx(test::kPatchW).margin(8));
  const Region press = *timings.recording.camera->press;
  CHECK(press.x == Approx(test::kLampX).margin(5));
  CHECK(press.y == Approx(test::kLampY).margin(5));
}
