#include <sys/resource.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <thread>

#include "analysis/onset/extract.hpp"

/// Reads FILE as `extract` does and as ffmpeg decodes it, with the same number of threads, and
/// prints the ratio of the wall times against its limit. Run it on a quiet machine.
namespace {

double seconds_of(const std::chrono::steady_clock::time_point& start) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

double peak_mb() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fprintf(stderr, "usage: benchmark_extract_speed FILE\n");
    return 2;
  }
  const std::string file = argv[1];
  const unsigned threads = std::max(1U, std::thread::hardware_concurrency());
  const std::string decode = "ffmpeg -v error -nostdin -threads " + std::to_string(threads) +
                             " -i '" + file + "' -f null -";
  auto start = std::chrono::steady_clock::now();
  if (std::system(decode.c_str()) != 0) {
    std::fprintf(stderr, "ffmpeg cannot decode %s\n", file.c_str());
    return 1;
  }
  const double decode_s = seconds_of(start);
  thumblight::onset::Request request;
  request.recording = file;
  request.threads = static_cast<int>(threads);
  start = std::chrono::steady_clock::now();
  const thumblight::onset::Timings timings = extract(request);
  const double extract_s = seconds_of(start);
  constexpr double kLimit = 1.15;
  constexpr double kLimit_mb = 400;
  std::printf("%zu presses; decode %.2f s, extract %.2f s, ratio %.3f (limit %.2f) %s\n",
              timings.presses.size(), decode_s, extract_s, extract_s / decode_s, kLimit,
              extract_s <= kLimit * decode_s ? "met" : "MISSED");
  std::printf("peak memory %.0f MB (limit %.0f) %s\n", peak_mb(), kLimit_mb,
              peak_mb() < kLimit_mb ? "met" : "MISSED");
  return 0;
}
