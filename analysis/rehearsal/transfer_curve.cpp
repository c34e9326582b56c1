#include "analysis/rehearsal/transfer_curve.hpp"

#include <algorithm>
#include <bit>
#include <cmath>

namespace thumblight::rehearsal {

namespace {

// The table is indexed by the upper bits of the float itself, so that its steps are a fixed share
// (2^-13) of the light and the dark end of steep curves is as exact as the bright one.
constexpr float kLeast = 0x1p-24F;
constexpr float kMost = 0x1.fffffep3F;
constexpr unsigned kDroppedBits = 10;
constexpr std::uint32_t kFirst = std::bit_cast<std::uint32_t>(kLeast) >> kDroppedBits;
constexpr std::uint32_t kLast = std::bit_cast<std::uint32_t>(kMost) >> kDroppedBits;

}  // namespace

double bt709_signal(double light) {
  constexpr double kAlpha = 1.099296826809442;  // the constants with which the two parts meet
  constexpr double kBeta = 0.018053968510807;
  return light < kBeta ? 4.5 * light : kAlpha * std::pow(light, 0.45) - (kAlpha - 1.0);
}

double srgb_signal(double light) {
  return light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1.0 / 2.4) - 0.055;
}

double hlg_signal(double light) {
  constexpr double kA = 0.17883277;
  constexpr double kB = 1.0 - 4.0 * kA;
  const double c = 0.5 - kA * std::log(4.0 * kA);
  return light <= 1.0 / 12.0 ? std::sqrt(3.0 * light) : kA * std::log(12.0 * light - kB) + c;
}

double pq_signal(double light) {
  constexpr double kM1 = 2610.0 / 16384.0;
  constexpr double kM2 = 2523.0 / 4096.0 * 128.0;
  constexpr double kC1 = 3424.0 / 4096.0;
  constexpr double kC2 = 2413.0 / 4096.0 * 32.0;
  constexpr double kC3 = 2392.0 / 4096.0 * 32.0;
  const double y = std::pow(light, kM1);
  return std::pow((kC1 + kC2 * y) / (1.0 + kC3 * y), kM2);
}

int luma_code(double signal, int bits, Range range) {
  const double unit = bits == 10 ? 4.0 : 1.0;
  const double top = bits == 10 ? 1023.0 : 255.0;
  const double code = range == Range::kFull ? top * signal : (16.0 + 219.0 * signal) * unit;
  return static_cast<int>(std::lround(std::clamp(code, 0.0, top)));
}

LightCoder::LightCoder(const CameraSettings& settings) : settings_(settings) {
  table_.reserve(kLast - kFirst + 1);
  for (std::uint32_t index = kFirst; index <= kLast; ++index) {
    const std::uint32_t middle = (index << kDroppedBits) + (1U << (kDroppedBits - 1));
    const double light = index == kFirst ? 0.0 : std::bit_cast<float>(middle);
    table_.push_back(
        static_cast<std::uint16_t>(luma_code(signal(light), settings.bits, settings.range)));
  }
}

double LightCoder::signal(double light) const {
  const double kept = std::max(light, 0.0);
  switch (settings_.curve) {
    case Curve::kBt709:
      return bt709_signal(std::min(kept, 1.0));
    case Curve::kSrgb:
      return srgb_signal(std::min(kept, 1.0));
    case Curve::kHlg:
      return hlg_signal(std::min(kept * settings_.hlg_white, 1.0));
    case Curve::kPq:
      return pq_signal(std::min(kept * settings_.pq_white_cd_m2 / 10'000.0, 1.0));
    case Curve::kLinear:
      break;
  }
  return std::min(kept, 1.0);
}

void LightCoder::encode(const float* light, int count, std::uint16_t* codes) const {
  for (int k = 0; k < count; ++k) {
    const float kept = std::min(std::max(light[k], kLeast), kMost);
    codes[k] = table_[(std::bit_cast<std::uint32_t>(kept) >> kDroppedBits) - kFirst];
  }
}

int LightCoder::neutral_chroma() const {
  return settings_.bits == 10 ? 512 : 128;
}

double LightCoder::chroma_scale() const {
  const double span = settings_.range == Range::kFull ? 255.0 : 224.0;
  return settings_.bits == 10 ? span * 4.0 : span;
}

}  // namespace thumblight::rehearsal
