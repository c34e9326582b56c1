#pragma once

#include <cstdint>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <memory>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

/// FFmpeg's own programs as a second opinion on the files that are made.
namespace thumblight::test {

struct ClosePipe {
  void operator()(std::FILE* pipe) const { pclose(pipe); }
};

/// What a command prints.
inline std::string output_of(const std::string& command) {
  const std::unique_ptr<std::FILE, ClosePipe> pipe(popen(command.c_str(), "r"));
  if (!pipe) {
    throw std::runtime_error("cannot run " + command);
  }
  std::string text;
  std::vector<char> buffer(1 << 16);
  while (const std::size_t count = std::fread(buffer.data(), 1, buffer.size(), pipe.get())) {
    text.append(buffer.data(), count);
  }
  return text;
}

/// One value of ffprobe's about the first video or sound stream, or about the file (`format`).
inline std::string probe(const std::filesystem::path& file, const std::string& entry,
                         const std::string& stream = "v:0") {
  std::string text = output_of("ffprobe -v error -select_streams " + stream + " -show_entries " +
                               entry + " -of default=nokey=1:noprint_wrappers=1 " + file.string());
  while (!text.empty() && (text.back() == '\n' || text.back() == '\r')) {
    text.pop_back();
  }
  return text;
}

/// The time stamps of all images, in ticks of the stream.
inline std::vector<std::int64_t> stamps_of(const std::filesystem::path& file) {
  std::istringstream lines(
      output_of("ffprobe -v error -select_streams v:0 -show_frames -show_entries frame=pts "
                "-of csv=p=0 " +
                file.string()));
  std::vector<std::int64_t> stamps;
  for (std::string line; std::getline(lines, line);) {
    if (!line.empty()) {
      stamps.push_back(std::stoll(line));
    }
  }
  return stamps;
}

/// Luma codes of all images, one after another, as they are stored.
inline std::vector<int> luma_of(const std::filesystem::path& file, int bits) {
  const std::string raw = output_of("ffmpeg -v error -noautorotate -i " + file.string() +
                                    " -fps_mode passthrough -vf extractplanes=y -pix_fmt " +
                                    (bits == 10 ? "gray10le" : "gray") + " -f rawvideo -");
  std::vector<int> codes;
  const auto* bytes = reinterpret_cast<const unsigned char*>(raw.data());
  const std::size_t step = bits == 10 ? 2 : 1;
  codes.reserve(raw.size() / step);
  for (std::size_t k = 0; k + step <= raw.size(); k += step) {
    codes.push_back(bits == 10 ? bytes[k] + 256 * bytes[k + 1] : bytes[k]);
  }
  return codes;
}

/// Interleaved sound samples, -1 to 1.
inline std::vector<double> sound_of(const std::filesystem::path& file) {
  const std::string raw = output_of("ffmpeg -v error -i " + file.string() + " -vn -f f64le -");
  std::vector<double> samples(raw.size() / sizeof(double));
  std::memcpy(samples.data(), raw.data(), samples.size() * sizeof(double));
  return samples;
}

}  // namespace thumblight::test
