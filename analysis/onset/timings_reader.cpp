#include "analysis/onset/timings_reader.hpp"

#include <fstream>

#include "analysis/onset/timings_forms.hpp"
#include "harness/session/error.hpp"

namespace thumblight::onset {
namespace {

/// A hundred thousand presses take about 30 MB; more is no table of presses.
constexpr std::size_t kLargestFile = std::size_t{256} << 20;

std::string load(const std::filesystem::path& file) {
  std::ifstream input(file, std::ios::binary);
  if (!input || std::filesystem::is_directory(file)) {
    throw Error(file.string() + ": cannot be read as timings; check the path");
  }
  std::string text;
  std::string piece(1 << 16, '\0');
  while (input.read(piece.data(), static_cast<std::streamsize>(piece.size())) ||
         input.gcount() > 0) {
    text.append(piece, 0, static_cast<std::size_t>(input.gcount()));
    if (text.size() > kLargestFile) {
      throw Error(file.string() +
                  ": larger than 256 MiB, so these are no timings; name the file "
                  "of instants, not the recording");
    }
  }
  return text;
}

bool has_earlier(const std::optional<Instant>& instant, std::optional<double>& latest_s) {
  if (!instant) {
    return false;
  }
  const bool earlier = latest_s && instant->t_s < *latest_s;
  latest_s = instant->t_s;
  return earlier;
}

}  // namespace

std::optional<Disorder> find_disorder(const std::vector<PressTiming>& presses) {
  std::optional<double> press_s;
  std::optional<double> light_s;
  for (std::size_t k = 0; k < presses.size(); ++k) {
    if (has_earlier(presses[k].press, press_s)) {
      return Disorder{k, "press"};
    }
    if (has_earlier(presses[k].light, light_s)) {
      return Disorder{k, "light"};
    }
  }
  return std::nullopt;
}

Timings read_timings(std::string_view text, const std::string& name,
                     std::optional<double> capture_rate_hz) {
  constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
  if (text.substr(0, kByteOrderMark.size()) == kByteOrderMark) {
    text.remove_prefix(kByteOrderMark.size());
  }
  const std::size_t first = text.find_first_not_of(" \t\r\n");
  if (first == std::string_view::npos) {
    throw Error(name +
                ": the file is empty; timings are timings.json or a table with the header "
                "press_s,light_s");
  }
  return text[first] == '{' ? read_timings_json(text, name)
                            : read_timings_table(text, name, capture_rate_hz);
}

Timings read_timings(const std::filesystem::path& file, std::optional<double> capture_rate_hz) {
  return read_timings(load(file), file.string(), capture_rate_hz);
}

}  // namespace thumblight::onset
