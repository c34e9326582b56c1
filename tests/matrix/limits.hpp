#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "tests/matrix/matrix.hpp"

/// What every cell of the matrix promises.
namespace thumblight::test {

/// Greatest bias and standard deviation of `steps` lights or lamps, in seconds.
double allowed_bias_s(const rehearsal::Settings& settings);
double allowed_sd_s(const rehearsal::Settings& settings, int steps);

/// Whether a share from 93 to 99 % is believable where this share of so many independent instants
/// lies within two standard uncertainties: its exact 95 % interval (Clopper and Pearson 1934)
/// touches the band.
bool covers_honestly(double share, double independent);

/// How far the means of `n` films may move, in standard uncertainties, with a probability of 95 %
/// that all of them keep to it.
double allowed_shift(std::size_t n);

/// The promises that the cell breaks, in words; empty where it keeps them all. A cell in which many
/// things are changed at once may be biased by more, if the stated uncertainty says so.
std::vector<std::string> broken_promises(const Cell& cell);

}  // namespace thumblight::test
