#pragma once

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

namespace thumblight::test {

/// One number a line.
std::vector<double> reference_numbers(const std::string& file);

nlohmann::json reference_json(const std::string& file);

/// The rows of a comma-separated file without its header.
std::vector<std::vector<std::string>> reference_rows(const std::string& file);

/// The second column where the first one says `group`.
std::vector<double> reference_group(const std::string& file, const std::string& group);

/// Equal to this many significant digits: a relative error below 10^-digits.
inline Approx to_digits(double expected, int digits) {
  return Approx(expected).epsilon(std::pow(10.0, -digits)).margin(0);
}

}  // namespace thumblight::test
