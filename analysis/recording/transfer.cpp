#include "analysis/recording/transfer.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace thumblight::recording {
namespace {

// Numbers of ITU-T H.273, table 3.
constexpr int kBt709 = 1;
constexpr int kUnstated = 2;
constexpr int kGamma22 = 4;
constexpr int kGamma28 = 5;
constexpr int kBt601 = 6;
constexpr int kLinear = 8;
constexpr int kSrgb = 13;
constexpr int kBt2020TenBit = 14;
constexpr int kBt2020TwelveBit = 15;
constexpr int kPq = 16;
constexpr int kHlg = 18;

double curve(double signal, int transfer) {
  switch (transfer) {
    case kGamma22:
      return std::pow(signal, 2.2);
    case kGamma28:
      return std::pow(signal, 2.8);
    case kLinear:
      return signal;
    case kSrgb:
      return srgb_to_linear(signal);
    case kPq:
      return pq_to_linear(signal);
    case kHlg:
      return hlg_to_linear(signal);
    default:
      return bt709_to_linear(signal);
  }
}

}  // namespace

double bt709_to_linear(double signal) {
  constexpr double kAlpha = 1.099296826809442;
  constexpr double kBeta = 0.018053968510807;
  return signal < 4.5 * kBeta ? signal / 4.5 : std::pow((signal + kAlpha - 1) / kAlpha, 1 / 0.45);
}

double srgb_to_linear(double signal) {
  return signal <= 0.04045 ? signal / 12.92 : std::pow((signal + 0.055) / 1.055, 2.4);
}

double hlg_to_linear(double signal) {
  constexpr double kA = 0.17883277;
  constexpr double kB = 1 - 4 * kA;
  const double c = 0.5 - kA * std::log(4 * kA);
  return signal <= 0.5 ? signal * signal / 3 : (std::exp((signal - c) / kA) + kB) / 12;
}

double pq_to_linear(double signal) {
  constexpr double kM1 = 2610.0 / 16384;
  constexpr double kM2 = 2523.0 / 4096 * 128;
  constexpr double kC1 = 3424.0 / 4096;
  constexpr double kC2 = 2413.0 / 4096 * 32;
  constexpr double kC3 = 2392.0 / 4096 * 32;
  const double root = std::pow(std::clamp(signal, 0.0, 1.0), 1 / kM2);
  return std::pow(std::max(root - kC1, 0.0) / (kC2 - kC3 * root), 1 / kM1);
}

double code_to_signal(double code, int bit_depth, bool full_range) {
  const double unit = std::ldexp(1.0, bit_depth - 8);
  return full_range ? code / (std::ldexp(1.0, bit_depth) - 1) : (code / unit - 16) / 219;
}

double signal_to_linear(double signal, int transfer) {
  return signal < 0 ? -curve(-signal, transfer) : curve(signal, transfer);
}

bool is_known_transfer(int transfer) {
  switch (transfer) {
    case kBt709:
    case kUnstated:
    case kGamma22:
    case kGamma28:
    case kBt601:
    case kLinear:
    case kSrgb:
    case kBt2020TenBit:
    case kBt2020TwelveBit:
    case kPq:
    case kHlg:
      return true;
    default:
      return false;
  }
}

const char* transfer_name(int transfer) {
  switch (transfer) {
    case kBt709:
    case kBt601:
      return "bt709";
    case kGamma22:
      return "gamma22";
    case kGamma28:
      return "gamma28";
    case kLinear:
      return "linear";
    case kSrgb:
      return "srgb";
    case kBt2020TenBit:
    case kBt2020TwelveBit:
      return "bt2020";
    case kPq:
      return "pq";
    case kHlg:
      return "hlg";
    default:
      return "bt709 (assumed)";
  }
}

std::vector<float> linear_light_table(const Coding& coding) {
  // A deep code takes two bytes: the table covers them all, so that no file can reach beyond it.
  std::vector<float> table(std::size_t{1} << (coding.bit_depth > 8 ? 16 : 8));
  for (std::size_t code = 0; code < table.size(); ++code) {
    const double most = std::ldexp(1.0, coding.bit_depth) - 1;
    const double signal = code_to_signal(std::min(static_cast<double>(code), most),
                                         coding.bit_depth, coding.full_range);
    table[code] = static_cast<float>(signal_to_linear(signal, coding.transfer));
  }
  return table;
}

}  // namespace thumblight::recording
