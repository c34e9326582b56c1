#include <cstdio>
#include <exception>
#include <filesystem>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include "analysis/commands/program.hpp"
#include "tests/benchmark/measured_child.hpp"
#include "tests/support/temporary_folder.hpp"

/// How long the report of a session takes and how large it is, the strips of all presses in it.
namespace {

using namespace thumblight;
using namespace thumblight::benchmark;

constexpr double kBytesInMegabyte = 1e6;

void analyse(const std::vector<std::string>& words) {
  std::vector<const char*> argv = {"thumblight-analysis"};
  for (const std::string& word : words) {
    argv.push_back(word.c_str());
  }
  std::ostringstream out;
  std::ostringstream err;
  if (commands::run(static_cast<int>(argv.size()), argv.data(), {out, err}) != 0) {
    throw std::runtime_error(err.str());
  }
}

bool time_report(const std::filesystem::path& folder, int presses) {
  const std::string session = (folder / std::to_string(presses)).string();
  analyse({"rehearse", session, "--preset", "wireless-pad", "--presses", std::to_string(presses)});
  analyse({"measure", session, "--no-report"});
  const Cost cost = measure_child([&] { analyse({"report", session}); });
  const auto bytes = std::filesystem::file_size(session + "/report.html");
  std::printf("report of %d presses, peak memory %.0f MB\n", presses, cost.peak_mb);
  const bool soon = print_against("  seconds:", cost.wall_s, 3);
  const bool small =
      print_against("  megabytes:", static_cast<double>(bytes) / kBytesInMegabyte, 8);
  return soon && small;
}

}  // namespace

int main() {
  try {
    const test::TemporaryFolder folder;
    const bool usual = time_report(folder.path(), 50);
    const bool many = time_report(folder.path(), 200);
    return usual && many ? 0 : 1;
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s\n", error.what());
    return 1;
  }
}
