#include "analysis/rehearsal/sensor.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>

#include "analysis/rehearsal/random.hpp"
#include "analysis/rehearsal/sound_writer.hpp"
#include "analysis/rehearsal/switched_light.hpp"
#include "harness/session/error.hpp"

namespace thumblight::rehearsal {

namespace {

constexpr int kSpotRows = 9;
constexpr std::size_t kChunk = 4096;

/// First-order low-pass and, after it, first-order high-pass, each exact for an input that is
/// constant between two samples.
class Coupling {
 public:
  Coupling(double low_pass_s, double high_pass_s) : low_s_(low_pass_s), high_s_(high_pass_s) {}

  double pass(double value, double interval_s) {
    low_ =
        started_ && low_s_ > 0.0 ? value + (low_ - value) * std::exp(-interval_s / low_s_) : value;
    if (high_s_ == 0.0) {
      started_ = true;
      return low_;
    }
    high_ = started_ ? (high_ + low_ - before_) * std::exp(-interval_s / high_s_) : 0.0;
    started_ = true;
    before_ = low_;
    return high_;
  }

 private:
  double low_s_;
  double high_s_;
  bool started_ = false;
  double low_ = 0.0;
  double before_ = 0.0;
  double high_ = 0.0;
};

struct Sample {
  double light = 0;
  double contact = 0;
};

/// What the two channels carry.
class Sensor {
 public:
  explicit Sensor(const Truth& truth)
      : settings_(truth.settings.sensor),
        display_(truth.settings.display),
        clocks_(truth.clocks),
        panel_(make_panel(truth)),
        contact_(contact_switchings(truth), 0.0),
        random_(truth.settings.seed, Stream::kSensor),
        light_coupling_(settings_.light_filter_s, settings_.ac_coupling_s),
        contact_coupling_(0.0, settings_.ac_coupling_s) {
    lay_rows(truth.patch_row);
  }

  /// Means over [from, to] of the recording's clock, in shares of full scale.
  Sample sample(double from_s, double to_s) {
    const double from = clocks_.bench_s(from_s);
    const double to = clocks_.bench_s(to_s);
    const double light = seen_light(from, to);
    const double contact = contact_.mean(from, to);
    return {channel(light_coupling_, light, settings_.invert_light, to_s - from_s),
            channel(contact_coupling_, contact, settings_.invert_contact, to_s - from_s)};
  }

 private:
  /// Rows of the display within the spot; those along which the scan-out runs sideways are the
  /// same as at the centre.
  void lay_rows(double centre) {
    const bool down = display_.scan == ScanDirection::kDown || display_.scan == ScanDirection::kUp;
    if (!down) {
      rows_ = {centre};
      return;
    }
    const double sign = display_.scan == ScanDirection::kDown ? 1.0 : -1.0;
    const int count = settings_.spot_height > 0.0 ? kSpotRows : 1;
    for (int k = 0; k < count; ++k) {
      const double within = (k + 0.5) / count - 0.5;
      const double offset = settings_.spot_row - 0.5 + settings_.spot_height * within;
      rows_.push_back(std::clamp(centre + sign * offset * display_.patch_h, 0.0, 1.0));
    }
  }

  double seen_light(double from, double to) const {
    double sum = 0.0;
    for (const double row : rows_) {
      const RowLight light = panel_.mean(row, from, to);
      sum += display_.dark * light.backlight + (display_.bright - display_.dark) * light.drive;
    }
    return sum / (static_cast<double>(rows_.size()) * display_.bright);
  }

  double channel(Coupling& coupling, double value, bool inverted, double interval_s) {
    const double passed = coupling.pass(value, interval_s) * settings_.level;
    return (inverted ? -passed : passed) + settings_.noise * random_.normal();
  }

  SensorSettings settings_;
  DisplaySettings display_;
  ClockPair clocks_;
  Panel panel_;
  SwitchedLight contact_;
  Random random_;
  Coupling light_coupling_;
  Coupling contact_coupling_;
  std::vector<double> rows_;
};

SoundFormat sound_format(const SensorSettings& settings) {
  AVCodecID codec = settings.bits == 24 ? AV_CODEC_ID_PCM_S24LE : AV_CODEC_ID_PCM_S16LE;
  if (settings.file == SoundFile::kFlac) {
    codec = AV_CODEC_ID_FLAC;
  }
  return {codec, static_cast<int>(settings.rate_hz), 2, settings.bits};
}

void write_sound(const Truth& truth, SensorTruth& made, const std::string& file) {
  const SensorSettings& settings = truth.settings.sensor;
  const OutputHandle output = open_output(file);
  SoundWriter writer(*output, sound_format(settings), file);
  expect(avformat_write_header(output.get(), nullptr), file, "starting the file");
  Sensor sensor(truth);
  std::vector<double> chunk;
  const double interval_s = 1.0 / settings.rate_hz;
  // W64 fills up to whole groups of 8 bytes, and readers take the filling for sound.
  const auto count = static_cast<std::int64_t>(std::ceil(truth.end_s * settings.rate_hz / 8.0)) * 8;
  for (; made.samples < count; ++made.samples) {
    const double t_s = static_cast<double>(made.samples) * interval_s;
    const Sample sample = sensor.sample(t_s - 0.5 * interval_s, t_s + 0.5 * interval_s);
    chunk.push_back(settings.light_first ? sample.light : sample.contact);
    chunk.push_back(settings.light_first ? sample.contact : sample.light);
    if (chunk.size() >= 2 * kChunk) {
      writer.write(chunk);
      chunk.clear();
    }
  }
  writer.write(chunk);
  writer.finish();
  expect(av_write_trailer(output.get()), file, "finishing the file");
}

/// A converter's whole number from 0 to 2^bits - 1; half of it is 0 where the signal has two signs.
long quantised(double share, const SensorSettings& settings, bool two_signs) {
  const double top = std::exp2(settings.bits) - 1.0;
  const double placed = two_signs ? 0.5 + 0.5 * share : share;
  return std::lround(std::clamp(placed, 0.0, 1.0) * top);
}

/// Seconds with nine decimals; a host's time keeps its nanoseconds, which no double would hold.
std::string time_text(const Truth& truth, double t_s) {
  char text[64];
  if (truth.settings.sensor.host_stamps) {
    const std::int64_t ns = truth.clocks.host_ns(truth.clocks.bench_s(t_s));
    std::snprintf(text, sizeof text, "%lld.%09lld", static_cast<long long>(ns / 1'000'000'000),
                  static_cast<long long>(ns % 1'000'000'000));
  } else {
    const long long ns = std::llround(t_s * 1e9);
    std::snprintf(text, sizeof text, "%lld.%09lld", ns / 1'000'000'000, ns % 1'000'000'000);
  }
  return text;
}

void write_table(const Truth& truth, SensorTruth& made, const std::string& file) {
  const SensorSettings& settings = truth.settings.sensor;
  std::ofstream output(file, std::ios::binary);
  output << "time_s,press,light\n";
  Sensor sensor(truth);
  Random random(truth.settings.seed, Stream::kFrames);
  const double interval_s = 1.0 / settings.rate_hz;
  const bool coupled = settings.ac_coupling_s > 0.0;
  double before_s = -0.5 * interval_s;
  for (;; ++made.samples) {
    const double jitter = random.uniform(-settings.interval_jitter, settings.interval_jitter);
    const double due_s = (static_cast<double>(made.samples) + (made.samples > 0 ? jitter : 0.0));
    const double t_s = due_s * interval_s;
    if (t_s >= truth.end_s) {
      break;
    }
    const Sample sample = sensor.sample(before_s, t_s);
    before_s = t_s;
    output << time_text(truth, t_s) << ','
           << quantised(sample.contact, settings, coupled || settings.invert_contact) << ','
           << quantised(sample.light, settings, coupled || settings.invert_light) << '\n';
  }
  output.close();
  if (!output) {
    throw Error(file + ": cannot be written; is the disk full?");
  }
}

}  // namespace

void trace(Truth& truth, const std::filesystem::path& file) {
  SensorTruth made;
  made.rate_hz = truth.settings.sensor.rate_hz;
  if (truth.settings.recording == RecordingKind::kTable) {
    write_table(truth, made, file.string());
  } else {
    write_sound(truth, made, file.string());
  }
  truth.sensor = made;
}

}  // namespace thumblight::rehearsal
