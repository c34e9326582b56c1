#pragma once

#include <string>
#include <vector>

#include "tests/matrix/matrix.hpp"

/// What every cell of the matrix promises.
namespace thumblight::test {

/// Greatest bias and standard deviation of light and lamp, in seconds.
double allowed_bias_s(const rehearsal::Settings& settings);
double allowed_sd_s(const rehearsal::Settings& settings);

/// Whether a share from 93 to 99 % is believable where `covered` of `n` lie within two standard
/// uncertainties: the exact 95 % interval of the share (Clopper and Pearson 1934) touches the band.
bool covers_honestly(int covered, int n);

/// The promises that the cell breaks, in words; empty where it keeps them all.
std::vector<std::string> broken_promises(const Cell& cell);

}  // namespace thumblight::test
