#include <algorithm>
#include <array>
#include <cstdio>
#include <exception>
#include <string>
#include <thread>

#include "analysis/onset/extract.hpp"
#include "tests/benchmark/made_files.hpp"
#include "tests/benchmark/measured_child.hpp"
#include "tests/support/temporary_folder.hpp"

/// How long `extract` takes for a film, pictures and all, beside ffmpeg's plain decoding with the
/// same number of threads; and how much memory it takes for a short and a long film.
///
///     benchmark_extract_speed [time | memory]
namespace {

using namespace thumblight;
using namespace thumblight::benchmark;

int threads() {
  return static_cast<int>(std::max(1U, std::thread::hardware_concurrency()));
}

Cost extract_cost(const std::filesystem::path& film) {
  const test::TemporaryFolder pictures;
  return measure_child([&] {
    onset::Request request;
    request.recording = film;
    request.threads = threads();
    request.evidence = pictures.path();
    std::printf("  %zu presses\n", extract(request).presses.size());
    std::fflush(stdout);
  });
}

bool time_film(const std::filesystem::path& folder) {
  const std::filesystem::path film = make_film(folder, 20);
  const std::string decode = "ffmpeg -v error -nostdin -threads " + std::to_string(threads()) +
                             " -i '" + film.string() + "' -f null -";
  std::array<double, 3> decode_s{};
  std::array<double, 3> extract_s{};
  for (std::size_t run = 0; run < 3; ++run) {
    decode_s[run] = seconds_of_command(decode);
    extract_s[run] = extract_cost(film).wall_s;
    std::printf("  decode %.2f s, extract %.2f s\n", decode_s[run], extract_s[run]);
  }
  return print_against("extract over decode, medians:",
                       median_of_three(extract_s[0], extract_s[1], extract_s[2]) /
                           median_of_three(decode_s[0], decode_s[1], decode_s[2]),
                       1.15);
}

bool weigh_films(const std::filesystem::path& folder) {
  const double short_mb = extract_cost(make_film(folder, 10)).peak_mb;
  const double long_mb = extract_cost(make_film(folder, 120)).peak_mb;
  bool met = print_against("peak memory for 10 s, MB:", short_mb, 400);
  met = print_against("peak memory for 120 s, MB:", long_mb, 400) && met;
  return print_against("120 s over 10 s:", long_mb / short_mb, 1.1) && met;
}

}  // namespace

int main(int argc, char** argv) {
  try {
    const std::string part = argc > 1 ? argv[1] : "";
    const test::TemporaryFolder folder;
    bool met = true;
    if (part != "memory") {
      met = time_film(folder.path());
    }
    if (part != "time") {
      met = weigh_films(folder.path()) && met;
    }
    return met ? 0 : 1;
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s\n", error.what());
    return 1;
  }
}
