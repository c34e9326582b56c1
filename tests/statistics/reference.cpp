#include "tests/statistics/reference.hpp"

#include <fstream>
#include <sstream>
#include <stdexcept>

namespace thumblight::test {

namespace {

std::ifstream opened(const std::string& file) {
  const std::string path = std::string(THUMBLIGHT_TESTS_DIR) + "/../data/" + file;
  std::ifstream stream(path);
  if (!stream) {
    throw std::runtime_error("no reference file " + path);
  }
  return stream;
}

std::vector<std::string> split(const std::string& line) {
  std::vector<std::string> cells;
  std::istringstream stream(line);
  for (std::string cell; std::getline(stream, cell, ',');) {
    cells.push_back(cell);
  }
  return cells;
}

}  // namespace

std::vector<double> reference_numbers(const std::string& file) {
  std::ifstream stream = opened(file);
  std::vector<double> numbers;
  for (double number = 0; stream >> number;) {
    numbers.push_back(number);
  }
  return numbers;
}

nlohmann::json reference_json(const std::string& file) {
  std::ifstream stream = opened(file);
  return nlohmann::json::parse(stream);
}

std::vector<std::vector<std::string>> reference_rows(const std::string& file) {
  std::ifstream stream = opened(file);
  std::string line;
  std::getline(stream, line);
  std::vector<std::vector<std::string>> rows;
  while (std::getline(stream, line)) {
    rows.push_back(split(line));
  }
  return rows;
}

std::vector<double> reference_group(const std::string& file, const std::string& group) {
  std::vector<double> values;
  for (const auto& row : reference_rows(file)) {
    if (row.at(0) == group) {
      values.push_back(std::stod(row.at(1)));
    }
  }
  return values;
}

}  // namespace thumblight::test
