#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>

#include "analysis/rehearsal/rehearse.hpp"
#include "analysis/rehearsal/settings_json.hpp"
#include "analysis/rehearsal/transfer_curve.hpp"
#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"
#include "tests/rehearsal/ffmpeg_tools.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::rehearsal;
using Catch::Matchers::Contains;

namespace {

/// Small, short, plain: two presses in two seconds.
Settings small() {
  Settings settings;
  settings.press.count = 2;
  settings.press.first_s = 0.1;
  settings.press.gap_min_s = 0.4;
  settings.press.gap_max_s = 0.4;
  settings.camera.width = 160;
  settings.camera.height = 96;
  settings.camera.lead_out_s = 0.1;
  settings.host.rest_s = 0.1;
  settings.scene.finger = false;
  return settings;
}

/// The same without loss, so that every code can be foretold.
Settings lossless() {
  Settings settings = small();
  settings.file.container = Container::kMkv;
  settings.file.codec = VideoCodec::kFfv1;
  return settings;
}

struct Made {
  test::TemporaryFolder folder;
  Truth truth;
  std::filesystem::path file;

  explicit Made(const Settings& settings)
      : truth(rehearse(settings, folder.path())), file(folder.path() / truth.recording) {}
};

std::string content(const std::filesystem::path& file) {
  std::ifstream input(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(input), {}};
}

/// Share of its step that a row has made on average over [from, to], the step being at 0.
double first_order_mean(double from, double to, double tau) {
  if (to <= 0.0) {
    return 0.0;
  }
  const double start = std::max(from, 0.0);
  return (to - start - tau * (std::exp(-start / tau) - std::exp(-to / tau))) / (to - from);
}

/// The patch's light at a stored row of an image, worked from the instants in the truth alone:
/// scan-out down the screen against the readout of the camera.
double expected_light(const Truth& truth, const FrameTruth& frame, double row) {
  const VideoTruth& video = *truth.video;
  const DisplaySettings& display = truth.settings.display;
  const double height = video.height;
  const bool top_first = truth.settings.camera.row_order == RowOrder::kTopFirst;
  const double rows_before = top_first ? row + 0.5 : height - row - 0.5;
  const double from = frame.exposure_start_s + video.readout_s * rows_before / height;
  const double to = from + video.exposure_s;
  const double way = (row + 0.5 - video.stored.screen.y) / video.stored.screen.h;
  const double tau = display.rise_s / std::log(9.0);
  double share = 0.0;
  for (const PressTruth& press : truth.presses) {
    const double lit = press.flash->flip.recording_s + way * truth.scanout_s;
    const double unlit = press.flash->dark_flip.recording_s + way * truth.scanout_s;
    share += first_order_mean(from - lit, to - lit, tau);
    share -= first_order_mean(from - unlit, to - unlit, tau);
  }
  const double glass = 0.03 * truth.settings.scene.ambient;
  return glass + display.dark + (display.bright - display.dark) * share;
}

int pixel(const std::vector<int>& luma, const VideoTruth& video, std::size_t frame, int x, int y) {
  const auto picture = static_cast<std::size_t>(video.width) * video.height;
  return luma.at(frame * picture + static_cast<std::size_t>(y) * video.width + x);
}

int centre_x(const Region& region) {
  return static_cast<int>(region.x + 0.5 * region.w);
}
int centre_y(const Region& region) {
  return static_cast<int>(region.y + 0.5 * region.h);
}

std::vector<std::int64_t> stamps(const VideoTruth& video) {
  std::vector<std::int64_t> ticks;
  for (const FrameTruth& frame : video.frames) {
    ticks.push_back(frame.stamp_ticks);
  }
  return ticks;
}

/// BT.709-6, item 1.2, turned round, with the Recommendation's own rounded constants.
double bt709_light(double signal) {
  return signal < 0.081 ? signal / 4.5 : std::pow((signal + 0.099) / 1.099, 1.0 / 0.45);
}

}  // namespace

TEST_CASE("every row of every image has the light of its own exposure") {
  for (const double readout_s : {0.0, 0.0039}) {
    for (const double exposure : {0.2, 1.0}) {
      Settings settings = lossless();
      settings.camera.readout_s = readout_s;
      settings.camera.exposure_share = exposure;
      settings.camera.row_order = exposure < 0.5 ? RowOrder::kBottomFirst : RowOrder::kTopFirst;
      settings.host.theta1 = 50e-6;
      const Made made(settings);
      const VideoTruth& video = *made.truth.video;
      const std::vector<int> luma = test::luma_of(made.file, 8);
      REQUIRE(luma.size() ==
              video.frames.size() * static_cast<std::size_t>(video.width) * video.height);
      const int x = centre_x(video.stored.patch);
      const int top = static_cast<int>(std::ceil(video.stored.patch.y));
      const int bottom = static_cast<int>(video.stored.patch.y + video.stored.patch.h);
      int partial = 0;
      for (std::size_t n = 0; n < video.frames.size(); ++n) {
        for (int y = top; y < bottom; ++y) {
          const double light = expected_light(made.truth, video.frames[n], y);
          const int code = luma_code(bt709_signal(light), 8, Range::kLimited);
          REQUIRE(std::abs(pixel(luma, video, n, x, y) - code) <= 1);
          partial += light > 0.1 && light < 0.5 ? 1 : 0;
        }
      }
      CHECK(partial > 50);  // rows were caught on their way
    }
  }
}

TEST_CASE("10 bits hold the light to a quarter of a code of 8") {
  for (const Curve curve : {Curve::kHlg, Curve::kPq, Curve::kBt709}) {
    Settings settings = lossless();
    settings.camera.bits = 10;
    settings.camera.curve = curve;
    const Made made(settings);
    const VideoTruth& video = *made.truth.video;
    const std::vector<int> luma = test::luma_of(made.file, 10);
    const LightCoder coder(settings.camera);
    const int x = centre_x(video.stored.patch);
    const int y = centre_y(video.stored.patch);
    for (std::size_t n = 0; n < video.frames.size(); ++n) {
      const double signal = coder.signal(expected_light(made.truth, video.frames[n], y));
      REQUIRE(std::abs(pixel(luma, video, n, x, y) - luma_code(signal, 10, Range::kLimited)) <= 1);
    }
  }
}

TEST_CASE("a coded file decodes to the intended linear light") {
  // Through FFmpeg's own conversion to RGB, and BT.709 turned round. The patch is lit to 0.6 and
  // its glass adds 0.0075; three codes of 8 bits, which compression may cost, are 0.02 there.
  for (const VideoCodec codec : {VideoCodec::kH264, VideoCodec::kHevc, VideoCodec::kVp9,
                                 VideoCodec::kAv1, VideoCodec::kMjpeg}) {
    for (const Range range : {Range::kLimited, Range::kFull}) {
      Settings settings = small();
      settings.file.codec = codec;
      settings.file.container = codec == VideoCodec::kMjpeg ? Container::kMov : Container::kMp4;
      settings.camera.range = range;
      const Made made(settings);
      const VideoTruth& video = *made.truth.video;
      const double lit_s = made.truth.presses[0].flash->light_90.recording_s + 0.05;
      const double dark_s = made.truth.presses[1].flash->flip.recording_s - 0.02;
      INFO(name_of(codec) << ' ' << name_of(range));
      for (const auto& [at_s, light] : {std::pair(lit_s, 0.6075), std::pair(dark_s, 0.0175)}) {
        const std::string raw = test::output_of(
            "ffmpeg -v error -ss " + std::to_string(at_s) + " -i " + made.file.string() +
            " -frames:v 1 -vf scale=sws_flags=accurate_rnd+full_chroma_int:in_color_matrix=bt709 "
            "-pix_fmt rgb24 -f rawvideo -");
        const auto at = 3 * (static_cast<std::size_t>(centre_y(video.stored.patch)) * video.width +
                             centre_x(video.stored.patch));
        REQUIRE(raw.size() > at + 1);
        const double signal = static_cast<unsigned char>(raw[at + 1]) / 255.0;
        CHECK(bt709_light(signal) == Approx(light).margin(0.02));
      }
    }
  }
}

TEST_CASE("an image stamped twice or not at all is as the truth says") {
  Settings settings = lossless();
  settings.file.container = Container::kMp4;
  settings.camera.interval_jitter = 0.1;
  settings.camera.rate_error = -0.0012;
  settings.camera.dropped = 0.1;
  settings.camera.doubled = 0.1;
  settings.camera.read_noise = 0.02;
  settings.file.codec = VideoCodec::kH264;
  settings.file.quality = 0;
  const Made made(settings);
  const VideoTruth& video = *made.truth.video;
  CHECK(test::stamps_of(made.file) == stamps(video));
  CHECK(test::probe(made.file, "stream=time_base") == "1/90000");
  CHECK(video.dropped_s.size() > 5);
  const std::vector<int> luma = test::luma_of(made.file, 8);
  const auto picture = static_cast<std::ptrdiff_t>(video.width) * video.height;
  int doubled = 0;
  for (std::size_t n = 1; n < video.frames.size(); ++n) {
    const auto now = luma.begin() + static_cast<std::ptrdiff_t>(n) * picture;
    CHECK(std::equal(now, now + picture, now - picture) == video.frames[n].doubled);
    doubled += video.frames[n].doubled ? 1 : 0;
  }
  CHECK(doubled > 5);
}

TEST_CASE("stamps in the file are those of the truth, whatever the container") {
  struct Case {
    Container container;
    VideoCodec codec;
    int ticks;
    const char* time_base;
  };
  const Case cases[] = {{Container::kMp4, VideoCodec::kH264, 1'000'000, "1/1000000"},
                        {Container::kMov, VideoCodec::kHevc, 90'000, "1/90000"},
                        {Container::kMp4, VideoCodec::kAv1, 90'000, "1/90000"},
                        {Container::kMkv, VideoCodec::kVp9, 90'000, "1/1000"},
                        {Container::kWebm, VideoCodec::kVp9, 90'000, "1/1000"},
                        {Container::kMkv, VideoCodec::kFfv1, 90'000, "1/1000"},
                        {Container::kMov, VideoCodec::kMjpeg, 90'000, "1/90000"}};
  for (const Case& item : cases) {
    Settings settings = small();
    settings.camera.interval_jitter = 0.08;
    settings.camera.rate_wander = 0.02;
    settings.file.container = item.container;
    settings.file.codec = item.codec;
    settings.file.ticks_per_s = item.ticks;
    const Made made(settings);
    const VideoTruth& video = *made.truth.video;
    INFO(name_of(item.container) << ' ' << name_of(item.codec));
    CHECK(test::stamps_of(made.file) == stamps(video));
    CHECK(test::probe(made.file, "stream=time_base") == item.time_base);
    for (const FrameTruth& frame : video.frames) {
      REQUIRE(static_cast<double>(frame.stamp_ticks) / video.ticks_per_s ==
              Approx(frame.exposure_start_s).margin(0.5001 / video.ticks_per_s));
    }
  }
}

TEST_CASE("images that are stored out of order keep their stamps") {
  for (const Container container : {Container::kMp4, Container::kMkv}) {
    for (const VideoCodec codec : {VideoCodec::kH264, VideoCodec::kHevc}) {
      Settings settings = small();
      settings.file.container = container;
      settings.file.codec = codec;
      settings.file.b_frames = 3;
      settings.camera.interval_jitter = 0.08;
      const Made made(settings);
      CHECK(test::stamps_of(made.file) == stamps(*made.truth.video));
      CHECK(test::output_of(
                "ffprobe -v error -show_frames -show_entries frame=pict_type -of csv=p=0 " +
                made.file.string())
                .find('B') != std::string::npos);
    }
  }
}

TEST_CASE("AVI counts its images") {
  Settings settings = small();
  settings.file.container = Container::kAvi;
  settings.file.codec = VideoCodec::kMjpeg;
  settings.file.stamps = Stamps::kNominal;
  const Made made(settings);
  CHECK(test::stamps_of(made.file) == stamps(*made.truth.video));
  CHECK(test::probe(made.file, "stream=time_base") == "1/240");
}

TEST_CASE("a conformed file runs at its playback rate and can say how it was captured") {
  Settings settings = small();
  settings.file.stamps = Stamps::kConformed;
  settings.file.capture_rate_metadata = true;
  const Made made(settings);
  const VideoTruth& video = *made.truth.video;
  for (std::size_t n = 0; n < video.frames.size(); ++n) {
    REQUIRE(video.frames[n].stamp_ticks == static_cast<std::int64_t>(n) * 3000);  // 90000 / 30
  }
  CHECK(test::stamps_of(made.file) == stamps(video));
  CHECK(std::stod(test::probe(made.file, "format_tags=com.android.capture.fps")) == 240.0);
  CHECK(video.frames[24].exposure_start_s == Approx(0.1));
}

TEST_CASE("colour tags are written, or left out") {
  Settings settings = small();
  CHECK(test::probe(Made(settings).file,
                    "stream=color_range,color_space,color_transfer,color_primaries") ==
        "tv\nbt709\nbt709\nbt709");
  settings.camera.curve = Curve::kHlg;
  settings.camera.bits = 10;
  settings.file.codec = VideoCodec::kHevc;
  settings.camera.range = Range::kFull;
  const Made wide(settings);
  CHECK(test::probe(wide.file, "stream=color_range,color_space,color_transfer,color_primaries") ==
        "pc\nbt2020nc\narib-std-b67\nbt2020");
  CHECK(test::probe(wide.file, "stream=pix_fmt") == "yuv420p10le");
  Settings bare = small();
  bare.file.colour_tags = false;
  CHECK(test::probe(Made(bare).file, "stream=color_transfer") == "unknown");
}

TEST_CASE("a turned camera's picture stands upright in a player, and scans sideways") {
  for (const int rotation : {90, 180, 270}) {
    Settings settings = small();
    settings.camera.rotation_deg = rotation;
    settings.file.quality = 10;
    const Made made(settings);
    const VideoTruth& video = *made.truth.video;
    CHECK(video.width == (rotation == 180 ? 160 : 96));
    const double lit_s = made.truth.presses[0].flash->light_90.recording_s + 0.05;
    const std::string upright = test::output_of(
        "ffmpeg -v error -ss " + std::to_string(lit_s) + " -i " + made.file.string() +
        " -frames:v 1 -vf extractplanes=y -pix_fmt gray -f rawvideo -");
    REQUIRE(upright.size() == std::size_t{160} * 96);
    const auto at = [&](int x, int y) {
      return static_cast<int>(
          static_cast<unsigned char>(upright[static_cast<std::size_t>(y) * 160 + x]));
    };
    const Region& patch = video.upright.patch;
    const int bright = luma_code(bt709_signal(0.6075), 8, Range::kLimited);
    CHECK(std::abs(at(centre_x(patch), centre_y(patch)) - bright) <= 3);
    CHECK(at(static_cast<int>(patch.x) - 4, centre_y(patch)) < 60);
    // In the stored picture the patch is where the truth has it.
    const std::vector<int> luma = test::luma_of(made.file, 8);
    const auto frame = static_cast<std::size_t>(lit_s * 240.0);
    CHECK(std::abs(pixel(luma, video, frame, centre_x(video.stored.patch),
                         centre_y(video.stored.patch)) -
                   bright) <= 3);
  }
}

TEST_CASE("turned by 90 degrees, the readout runs across the screen") {
  // A global flash (no scan-out, no rise) shows the camera's readout alone: at each stored row the
  // share of the exposure after the flash.
  Settings settings = small();
  settings.camera.rotation_deg = 90;
  settings.display.scanout_share = 0.0;
  settings.display.rise_s = 0.0;
  settings.file.quality = 0;
  settings.camera.readout_s = 0.004;
  const Made made(settings);
  const VideoTruth& video = *made.truth.video;
  const std::vector<int> luma = test::luma_of(made.file, 8);
  const double lit = made.truth.presses[0].flash->light.recording_s;
  const Region& patch = video.stored.patch;
  int partial = 0;
  for (std::size_t n = 0; n < video.frames.size(); ++n) {
    for (int y = static_cast<int>(patch.y) + 1; y < static_cast<int>(patch.y + patch.h) - 1; ++y) {
      const double from = video.frames[n].exposure_start_s + 0.004 * (y + 0.5) / video.height;
      const double share = std::clamp((from + video.exposure_s - lit) / video.exposure_s, 0.0, 1.0);
      if (video.frames[n].exposure_start_s < lit + 0.01 && share > 0.0 && share < 1.0) {
        const double light = 0.0175 + 0.59 * share;
        const double seen = bt709_light((pixel(luma, video, n, centre_x(patch), y) - 16) / 219.0);
        CHECK(seen == Approx(light).margin(0.02));
        ++partial;
      }
    }
  }
  CHECK(partial > 5);
}

TEST_CASE("lamps follow the contact and the host") {
  Settings settings = lossless();
  settings.lamp.on_host = true;
  const Made made(settings);
  const VideoTruth& video = *made.truth.video;
  const std::vector<int> luma = test::luma_of(made.file, 8);
  const PressTruth& press = made.truth.presses[0];
  const auto check_lamp = [&](const Region& lamp, double on_s, double off_s) {
    const int x = centre_x(lamp);
    const int y = centre_y(lamp);
    const double row_s = video.readout_s * (y + 0.5) / video.height;
    const int dark = pixel(luma, video, 0, x, y);
    for (std::size_t n = 0; n < video.frames.size() && video.frames[n].exposure_start_s < 0.4;
         ++n) {
      const double from = video.frames[n].exposure_start_s + row_s;
      const double to = from + video.exposure_s;
      const int code = pixel(luma, video, n, x, y);
      if (to < on_s || from > off_s + 1e-4) {
        REQUIRE(code == dark);
      } else if (to > on_s + 2e-4 && from < off_s - 2e-4) {
        REQUIRE(code > dark + 10);
      }
    }
  };
  check_lamp(*video.stored.lamp, press.contact.recording_s, press.release.recording_s);
  check_lamp(*video.stored.host_lamp, press.lamp->lit.recording_s, press.lamp->unlit.recording_s);
}

TEST_CASE("the finger stands still but for its presses") {
  Settings settings = lossless();
  settings.scene.finger = true;
  settings.lamp.on_button = false;
  const Made made(settings);
  const VideoTruth& video = *made.truth.video;
  const std::vector<int> luma = test::luma_of(made.file, 8);
  const PressTruth& press = made.truth.presses[0];
  const Region& finger = video.stored.finger;
  const auto moves = [&](std::size_t n) {
    for (int y = static_cast<int>(finger.y); y < static_cast<int>(finger.y + finger.h); ++y) {
      for (int x = static_cast<int>(finger.x); x < static_cast<int>(finger.x + finger.w); ++x) {
        if (pixel(luma, video, n, x, y) != pixel(luma, video, n - 1, x, y)) {
          return true;
        }
      }
    }
    return false;
  };
  int moved = 0;
  for (std::size_t n = 1; n < video.frames.size(); ++n) {
    const double end_s = video.frames[n].exposure_start_s + video.readout_s + video.exposure_s;
    if (end_s < press.finger_start.recording_s) {
      REQUIRE_FALSE(moves(n));
    } else if (video.frames[n].exposure_start_s < press.finger_end.recording_s) {
      moved += moves(n) ? 1 : 0;
    } else if (video.frames[n - 1].exposure_start_s > press.finger_end.recording_s &&
               end_s < press.release.recording_s - 0.011) {
      REQUIRE_FALSE(moves(n));
    }
  }
  CHECK(moved >= 3);
}

TEST_CASE("mains flicker makes bands that an exposure of whole periods hides") {
  Settings settings = lossless();
  settings.press.count = 0;
  settings.scene.flicker = 0.5;
  settings.camera.nominal_hz = 100.0;
  settings.camera.readout_s = 0.0;
  const auto spread_of_wall = [](const Made& made) {
    const std::vector<int> luma = test::luma_of(made.file, 8);
    int least = 255;
    int most = 0;
    for (std::size_t n = 0; n < made.truth.video->frames.size(); ++n) {
      const int code = pixel(luma, *made.truth.video, n, 150, 40);
      least = std::min(least, code);
      most = std::max(most, code);
    }
    return most - least;
  };
  settings.camera.exposure_share = 1.0;
  CHECK(spread_of_wall(Made(settings)) <= 1);
  settings.camera.nominal_hz = 240.0;
  settings.camera.exposure_share = 0.5;
  CHECK(spread_of_wall(Made(settings)) > 20);
}

TEST_CASE("sensor noise has the stated size") {
  Settings settings = lossless();
  settings.press.count = 0;
  settings.camera.curve = Curve::kLinear;
  settings.camera.range = Range::kFull;
  settings.camera.read_noise = 0.02;
  settings.camera.lead_out_s = 2.0;
  settings.display.surround = 0.5;
  settings.camera.full_well = 1000.0;
  const Made made(settings);
  const std::vector<int> luma = test::luma_of(made.file, 8);
  const VideoTruth& video = *made.truth.video;
  double sum = 0.0;
  double squares = 0.0;
  const auto count = static_cast<double>(video.frames.size());
  for (std::size_t n = 0; n < video.frames.size(); ++n) {
    const double light = pixel(luma, video, n, 20, 20) / 255.0;
    sum += light;
    squares += light * light;
  }
  const double mean = sum / count;
  const double variance = (squares - sum * mean) / (count - 1);
  REQUIRE(count > 100);
  CHECK(mean == Approx(0.5075).margin(5 * 0.03 / std::sqrt(count)));
  // Read noise squared plus light over the full well; five standard errors of a variance.
  CHECK(variance == Approx(0.0004 + 0.5075 / 1000).epsilon(5.0 * std::sqrt(2.0 / count)));
}

TEST_CASE("the sound track clicks when the truth says") {
  for (const SoundCodec codec : {SoundCodec::kAac, SoundCodec::kPcm}) {
    Settings settings = small();
    settings.file.sound = codec;
    settings.file.container = codec == SoundCodec::kPcm ? Container::kMov : Container::kMp4;
    settings.file.sound_offset_s = 0.02;
    settings.file.air_distance_m = 1.0;
    settings.file.sound_noise = 0.0;
    const Made made(settings);
    CHECK(made.truth.video->sound_offset_s == Approx(0.02 + 1.0 / 343.0));
    const std::vector<double> sound = test::sound_of(made.file);
    const double expected = made.truth.presses[0].contact.recording_s + 0.02 + 1.0 / 343.0;
    const auto first = std::find_if(sound.begin(), sound.end(),
                                    [](double value) { return std::abs(value) > 0.2; });
    REQUIRE(first != sound.end());
    const double heard = static_cast<double>(first - sound.begin()) / 48'000.0;
    CHECK(heard == Approx(expected).margin(codec == SoundCodec::kPcm ? 1.01 / 48'000 : 0.0005));
    CHECK(test::stamps_of(made.file) == stamps(*made.truth.video));
  }
}

TEST_CASE("the same settings make the same files") {
  Settings settings = small();
  settings.camera.read_noise = 0.01;
  settings.camera.dropped = 0.05;
  settings.scene.shake = 0.01;
  settings.scene.finger = true;
  settings.scene.hand_sway = 0.02;
  settings.file.sound = SoundCodec::kAac;
  const Made first(settings);
  const Made second(settings);
  for (const char* name : {"session.jsonl", "camera.mp4", "setup.json", "truth.json"}) {
    const std::string bytes = content(first.folder.path() / name);
    CHECK_FALSE(bytes.empty());
    CHECK(bytes == content(second.folder.path() / name));
  }
  settings.seed = 2;
  CHECK(content(Made(settings).file) != content(first.file));
}

TEST_CASE("painting only what changes equals painting all") {
  // An auto-exposure of nothing but a hair makes every row be painted in every image.
  for (const PanelKind panel : {PanelKind::kSteady, PanelKind::kTube}) {
    for (const int rotation : {0, 90}) {
      Settings settings = lossless();
      settings.file.container = Container::kMov;
      settings.display.panel = panel;
      settings.camera.rotation_deg = rotation;
      settings.scene.finger = true;
      settings.lamp.on_host = true;
      const std::vector<int> part = test::luma_of(Made(settings).file, 8);
      settings.scene.auto_exposure = 1e-9;
      const std::vector<int> all = test::luma_of(Made(settings).file, 8);
      CHECK(!part.empty());
      CHECK(part == all);
    }
  }
}

TEST_CASE("every layout keeps its things within the picture and apart") {
  for (const Layout layout : {Layout::kDesk, Layout::kSofa, Layout::kHandheld, Layout::kCloseUp}) {
    Settings settings = lossless();
    settings.press.count = 1;
    settings.scene.layout = layout;
    settings.scene.shake = 0.02;
    settings.scene.spill = 0.05;
    settings.scene.flicker = 0.1;
    settings.scene.auto_exposure = 0.1;
    settings.lamp.on_host = true;
    const Made made(settings);
    const Regions& regions = made.truth.video->upright;
    const Region all[] = {regions.screen, regions.finger, *regions.lamp, *regions.host_lamp};
    for (const Region& a : all) {
      CHECK(a.x >= 0.0);
      CHECK(a.y >= 0.0);
      CHECK(a.x + a.w <= 160.0);
      CHECK(a.y + a.h <= 96.0);
      for (const Region& b : all) {
        const bool apart =
            a.x + a.w <= b.x || b.x + b.w <= a.x || a.y + a.h <= b.y || b.y + b.h <= a.y;
        CHECK((&a == &b || apart));
      }
    }
    CHECK(session::read_log(made.folder.path() / "session.jsonl").presses.size() == 1);
  }
}

TEST_CASE("a session is never written over, and what does not go together is said") {
  const Made made(small());
  CHECK_THROWS_WITH(rehearse(small(), made.folder.path()), Contains("is there already"));
  Settings settings = small();
  settings.file.container = Container::kWebm;
  const test::TemporaryFolder folder;
  CHECK_THROWS_WITH(rehearse(settings, folder.path()), Contains("container"));
}

TEST_CASE("setup.json tells what the settings let it tell") {
  Settings settings = small();
  settings.setup.regions = true;
  settings.lamp.on_host = true;
  settings.file.sound = SoundCodec::kAac;
  settings.camera.row_order = RowOrder::kBottomFirst;
  settings.file.stamps = Stamps::kConformed;
  const Made made(settings);
  const auto setup = nlohmann::json::parse(content(made.folder.path() / "setup.json"));
  CHECK(setup.at("capture_rate_hz") == 240.0);
  CHECK(setup.at("readout_s") == 0.003);
  CHECK(setup.at("readout_from") == "bottom");
  CHECK(setup.at("sound").at("distance_m") == 0.5);
  CHECK(setup.at("regions").at("patch").at("w") == made.truth.video->upright.patch.w);
  CHECK(setup.at("lamp_lag_s").at("max") == 0.001);
  CHECK(setup.at("labels").at("controller") == "heron");
  Settings silent = small();
  silent.setup.capture_rate = false;
  silent.setup.readout = false;
  silent.log = false;
  const Made quiet(silent);
  const auto little = nlohmann::json::parse(content(quiet.folder.path() / "setup.json"));
  CHECK_FALSE(little.contains("capture_rate_hz"));
  CHECK_FALSE(little.contains("readout_s"));
  CHECK_FALSE(little.contains("regions"));
  CHECK_FALSE(std::filesystem::exists(quiet.folder.path() / "session.jsonl"));
}
