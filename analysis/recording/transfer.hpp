#pragma once

#include <vector>

#include "analysis/recording/luma_plane.hpp"

/// From code values to linear light, 1 = reference white (for PQ: 10,000 cd/m²; for HLG: the peak
/// of the scene).
namespace thumblight::recording {

/// ITU-R BT.709-6, item 1.2, and BT.2020-2, table 4: inverse of the camera's curve.
double bt709_to_linear(double signal);
/// IEC 61966-2-1.
double srgb_to_linear(double signal);
/// ITU-R BT.2100-2, table 5: inverse of the HLG camera curve.
double hlg_to_linear(double signal);
/// ITU-R BT.2100-2, table 4 (SMPTE ST 2084): PQ.
double pq_to_linear(double signal);

/// The signal, 0-1 nominal, that a code stands for (ITU-R BT.709-6, item 3.4; H.273, 8.3).
double code_to_signal(double code, int bit_depth, bool full_range);

/// Linear light of a signal by the curve's number in ITU-T H.273; one not stated counts as BT.709.
/// Signals below 0 and above 1 (footroom and headroom) continue the curve; below 0 by symmetry.
double signal_to_linear(double signal, int transfer);

/// Whether `transfer` is one that `signal_to_linear` knows.
bool is_known_transfer(int transfer);
const char* transfer_name(int transfer);

/// One entry for each value that the code's one or two bytes can hold.
std::vector<float> linear_light_table(const Coding& coding);

}  // namespace thumblight::recording
