#include "analysis/report/page/evidence.hpp"

#include <algorithm>
#include <array>
#include <fstream>
#include <iterator>
#include <string_view>
#include <system_error>

#include "analysis/report/page/coarser_jpeg.hpp"

namespace thumblight::report {
namespace {

namespace fs = std::filesystem;

constexpr std::uintmax_t kLargestPicture = 4'000'000;

/// The file if it begins as such a picture does; else empty.
std::string picture(const fs::path& file, std::string_view beginning) {
  std::error_code fault;
  if (!fs::is_regular_file(file, fault) || fs::file_size(file, fault) > kLargestPicture || fault) {
    return {};
  }
  std::ifstream input(file, std::ios::binary);
  std::string bytes{std::istreambuf_iterator<char>(input), std::istreambuf_iterator<char>()};
  return bytes.compare(0, beginning.size(), beginning) == 0 ? bytes : std::string();
}

std::string strip_name(std::int64_t index) {
  constexpr std::size_t kDigits = 3;
  std::string number = std::to_string(index);
  number.insert(0, number.size() < kDigits ? kDigits - number.size() : 0, '0');
  return "press-" + number + ".jpg";
}

std::size_t bytes_of(const std::vector<Evidence>& evidence) {
  std::size_t bytes = 0;
  for (const Evidence& session : evidence) {
    for (const auto& [index, strip] : session.strips) {
      bytes += strip.size();
    }
  }
  return bytes;
}

/// Leaves out strips evenly over each session until the rest fits.
void thin_out(std::vector<Evidence>& evidence, std::size_t most_bytes) {
  const std::size_t bytes = bytes_of(evidence);
  if (bytes <= most_bytes) {
    return;
  }
  const double share = static_cast<double>(most_bytes) / static_cast<double>(bytes);
  for (Evidence& session : evidence) {
    double due = 0;
    for (auto strip = session.strips.begin(); strip != session.strips.end();) {
      due += share;
      if (due >= 1) {
        due -= 1;
        ++strip;
      } else {
        strip = session.strips.erase(strip);
        ++session.left_out;
      }
    }
  }
}

}  // namespace

Evidence read_evidence(const fs::path& folder, const Result& result) {
  constexpr std::string_view kJpeg = "\xFF\xD8\xFF";
  constexpr std::string_view kPng = "\x89PNG\r\n\x1A\n";
  Evidence evidence;
  evidence.regions = picture(folder / "regions.png", kPng);
  for (const timing::PressSplit& press : result.split.presses) {
    if (press.recorded_index) {
      std::string strip = picture(folder / "evidence" / strip_name(*press.recorded_index), kJpeg);
      if (!strip.empty()) {
        evidence.strips.emplace(*press.recorded_index, std::move(strip));
      }
    }
  }
  return evidence;
}

void shrink_strips(std::vector<Evidence>& evidence, std::size_t most_bytes) {
  for (const int quantiser : {6, 10, 16, kCoarsestJpeg}) {
    if (bytes_of(evidence) <= most_bytes) {
      return;
    }
    for (Evidence& session : evidence) {
      for (auto& [index, strip] : session.strips) {
        strip = coarser_jpeg(strip, quantiser);
      }
    }
  }
  thin_out(evidence, most_bytes);
}

}  // namespace thumblight::report
