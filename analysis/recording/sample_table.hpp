#pragma once

#include <cstdint>
#include <filesystem>
#include <fstream>
#include <optional>
#include <string>

namespace thumblight::recording {

/// A sensor's samples as CSV with the header `time_s,press,light`, in any order of columns; either
/// of press and light may be missing. Times rise but need not be even.
class SampleTable {
 public:
  explicit SampleTable(const std::filesystem::path& file);

  bool has_press() const { return press_column_ >= 0; }
  bool has_light() const { return light_column_ >= 0; }

  struct Sample {
    double time_s = 0;
    double press = 0;
    double light = 0;
  };
  /// The next sample, or nothing at the end. Throws `Error` naming the line of a fault.
  std::optional<Sample> next();

 private:
  void read_header();
  double number(const std::string& field, const char* column) const;

  std::string name_;
  std::ifstream input_;
  std::int64_t line_ = 0;
  int time_column_ = -1;
  int press_column_ = -1;
  int light_column_ = -1;
  std::optional<double> last_time_s_;
};

}  // namespace thumblight::recording
