#pragma once

#include <cmath>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <functional>
#include <random>
#include <stdexcept>
#include <string>
#include <vector>

/// Tiny films made without any code of the product: plain loops and ffmpeg's encoder.
namespace thumblight::test {

/// Runs a shell command; throws where it fails.
inline void run(const std::string& command) {
  if (std::system((command + " >/dev/null 2>&1").c_str()) != 0) {
    throw std::runtime_error("failed: " + command);
  }
}

/// BT.709 camera curve (ITU-R BT.709-6, item 1.2) to a limited-range 8-bit code.
inline double code_of(double light) {
  const double v = light < 0.018 ? 4.5 * light : 1.099 * std::pow(light, 0.45) - 0.099;
  return 16 + 219 * v;
}

struct MadeFilm {
  int width = 192;
  int height = 128;
  double rate_hz = 240;
  double seconds = 8;
  double exposure_share = 0.9;
  double readout_s = 0;
  double noise_codes = 1;  ///< standard deviation, in code values
  double scan_s = 0;       ///< from the patch's first row to its last
  std::string encoder = "-c:v libx264 -preset ultrafast -crf 18";
  std::string input;            ///< options before the encoder
  std::vector<double> press_s;  ///< the lamp lights
  std::vector<double> light_s;  ///< the patch's centre row begins to rise
  double hold_s = 0.2;
  double decay_s = 0.001;  ///< of the patch's first-order rise, or of a pulse
  double pulse_hz = 0;     ///< the patch flashes up so often, as a tube's phosphor does; or steady
  double lamp_hold_s = 0.1;
  bool lamp = true;
  std::function<double(double)>
      hand;  ///< x of a bright bar that moves over the lamp's place; or none
};

constexpr int kPatchX = 24, kPatchY = 24, kPatchW = 60, kPatchH = 48;
constexpr int kLampX = 144, kLampY = 88, kLampW = 16, kLampH = 16;

/// Mean over [from, to] of a first-order rise at `on` and fall at `off`, in closed form.
inline double mean_light(double from, double to, double on, double off, double decay) {
  const auto integral = [decay](double t) {
    return t <= 0 ? 0.0 : t - decay * (1 - std::exp(-t / decay));
  };
  const double rise = integral(to - on) - integral(from - on);
  const double fall = integral(to - off) - integral(from - off);
  return (rise - fall) / (to - from);
}

/// Mean over [from, to] of pulses that begin at `on` and fade, of mean 1, until `off`.
inline double mean_pulses(double from, double to, double on, double off, double decay, double hz) {
  const auto integral = [decay](double t) { return t <= 0 ? 0.0 : 1 - std::exp(-t / decay); };
  double sum = 0;
  for (double at = on; at < off; at += 1 / hz) {
    sum += integral(to - at) - integral(from - at);
  }
  return sum / hz / (to - from);
}

/// Writes the film to `file`, each row exposed in its own time.
inline void make(const MadeFilm& film, const std::filesystem::path& file) {
  char command[2048];
  std::snprintf(command, sizeof command,
                "ffmpeg -v error -y -f rawvideo -pix_fmt yuv420p -s %dx%d -framerate %g -i - %s %s "
                "-pix_fmt yuv420p -colorspace bt709 -color_trc bt709 -color_range tv '%s'",
                film.width, film.height, film.rate_hz, film.input.c_str(), film.encoder.c_str(),
                file.c_str());
  std::FILE* pipe = popen(command, "w");
  if (pipe == nullptr) {
    throw std::runtime_error("no ffmpeg");
  }
  std::mt19937 engine(7);
  std::normal_distribution<double> noise(0, film.noise_codes);
  std::vector<std::uint8_t> frame(
      static_cast<std::size_t>(film.width) * static_cast<std::size_t>(film.height) * 3 / 2, 128);
  const auto frames = static_cast<int>(film.seconds * film.rate_hz);
  const double exposure_s = film.exposure_share / film.rate_hz;
  for (int i = 0; i < frames; ++i) {
    for (int y = 0; y < film.height; ++y) {
      const double start_s = i / film.rate_hz + film.readout_s * (y + 0.5) / film.height;
      const double lag_s = film.scan_s * ((y + 0.5 - kPatchY) / kPatchH - 0.5);
      double patch = 0;
      for (const double light_s : film.light_s) {
        const double on_s = light_s + lag_s;
        const double off_s = on_s + film.hold_s;
        patch += film.pulse_hz > 0
                     ? 0.25 * mean_pulses(start_s, start_s + exposure_s, on_s, off_s, film.decay_s,
                                          film.pulse_hz)
                     : mean_light(start_s, start_s + exposure_s, on_s, off_s, film.decay_s);
      }
      double lamp = 0;
      for (const double press_s : film.press_s) {
        lamp +=
            mean_light(start_s, start_s + exposure_s, press_s, press_s + film.lamp_hold_s, 1e-6);
      }
      for (int x = 0; x < film.width; ++x) {
        double light = 0.05 + 0.03 * ((x / 11 + y / 13) % 3);
        const bool in_patch =
            x >= kPatchX && x < kPatchX + kPatchW && y >= kPatchY && y < kPatchY + kPatchH;
        const bool in_lamp =
            x >= kLampX && x < kLampX + kLampW && y >= kLampY && y < kLampY + kLampH;
        if (in_patch) {
          light = 0.01 + 0.6 * patch;
        } else if (film.lamp && in_lamp) {
          light = 0.02 + 0.5 * lamp;
        } else if (film.hand && y >= 72 && std::abs(x - film.hand(start_s + exposure_s / 2)) < 9) {
          light = 0.35;
        }
        const double code = code_of(light) + noise(engine);
        frame[static_cast<std::size_t>(y * film.width + x)] =
            static_cast<std::uint8_t>(std::lround(std::min(std::max(code, 1.0), 254.0)));
      }
    }
    std::fwrite(frame.data(), 1, frame.size(), pipe);
  }
  if (pclose(pipe) != 0) {
    throw std::runtime_error("ffmpeg failed");
  }
}

/// Presses at uneven times and their lights, `delay(k)` later.
inline void schedule(MadeFilm& film, int count, const std::function<double(int)>& delay) {
  std::mt19937 engine(3);
  std::uniform_real_distribution<double> gap(0.45, 0.75);
  double at_s = 0.5;
  for (int k = 0; k < count; ++k) {
    film.press_s.push_back(at_s);
    film.light_s.push_back(at_s + delay(k));
    at_s += gap(engine);
  }
  film.seconds = at_s + 0.4;
}

}  // namespace thumblight::test
