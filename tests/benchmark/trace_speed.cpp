#include <cstdio>
#include <exception>
#include <string>

#include "analysis/onset/extract.hpp"
#include "tests/benchmark/made_files.hpp"
#include "tests/benchmark/measured_child.hpp"
#include "tests/support/temporary_folder.hpp"

/// How long `extract` takes for an hour of a sensor's trace beside ffmpeg's plain decoding of it,
/// and how much memory beside a tenth of that.
namespace {

using namespace thumblight;
using namespace thumblight::benchmark;

Cost extract_cost(const std::filesystem::path& trace) {
  return measure_child([&] {
    onset::Request request;
    request.recording = trace;
    std::printf("  %zu presses\n", extract(request).presses.size());
    std::fflush(stdout);
  });
}

bool time_hour(const std::filesystem::path& folder, const char* ending) {
  constexpr double kSoonEnough_s = 5;
  const std::filesystem::path part = make_trace(folder, 6, ending);
  const std::filesystem::path hour = make_trace(folder, 60, ending);
  const double decode_s =
      seconds_of_command("ffmpeg -v error -nostdin -i '" + hour.string() + "' -f null -");
  const Cost cost = extract_cost(hour);
  const Cost short_cost = extract_cost(part);
  const bool soon = cost.wall_s <= kSoonEnough_s || cost.wall_s <= 2 * decode_s;
  std::printf("%s: decode %.2f s, extract %.2f s, ratio %.2f (limit 2, or %.0f s) %s\n", ending,
              decode_s, cost.wall_s, cost.wall_s / decode_s, kSoonEnough_s,
              soon ? "met" : "MISSED");
  std::printf("  peak memory %.0f MB for 6 minutes, %.0f MB for an hour\n", short_cost.peak_mb,
              cost.peak_mb);
  // Ten times the presses take their few megabytes; ten times the samples must take none.
  return print_against("  hour over 6 minutes:", cost.peak_mb / short_cost.peak_mb, 1.3) && soon;
}

}  // namespace

int main() {
  try {
    const test::TemporaryFolder folder;
    const bool wav = time_hour(folder.path(), "wav");
    const bool flac = time_hour(folder.path(), "flac");
    return wav && flac ? 0 : 1;
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s\n", error.what());
    return 1;
  }
}
