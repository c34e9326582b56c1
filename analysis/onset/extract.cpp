#include "analysis/onset/extract.hpp"

#include <algorithm>
#include <cctype>
#include <string>

#include "analysis/recording/stream_opener.hpp"

namespace thumblight::onset {
namespace {

std::string lower_ending(const std::filesystem::path& file) {
  std::string ending = file.extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(),
                 [](unsigned char letter) { return std::tolower(letter); });
  return ending;
}

bool is_trace(const std::filesystem::path& file) {
  if (std::filesystem::is_directory(file)) {
    return false;
  }
  if (lower_ending(file) == ".csv") {
    return true;
  }
  return !recording::has_stream(*recording::open_input(file), true);
}

}  // namespace

Timings extract(const Request& request) {
  return is_trace(request.recording) ? extract_trace(request) : extract_video(request);
}

}  // namespace thumblight::onset
