#include "tests/bench/film/camera_run.hpp"

#include <csignal>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <string>

#include "harness/session/error.hpp"
#include "tests/bench/clock.hpp"

namespace thumblight::bench {
namespace {

constexpr double kStartTimeoutS = 20;
constexpr double kEndTimeoutS = 120;

std::filesystem::path words_of(const std::filesystem::path& film) {
  return film.string() + ".camera.txt";
}

std::filesystem::path errors_of(const std::filesystem::path& film) {
  return film.string() + ".camera-errors.txt";
}

std::string contents(const std::filesystem::path& file) {
  std::ifstream input(file);
  return {std::istreambuf_iterator<char>(input), {}};
}

ChildPlan plan_of(const std::filesystem::path& program, const VirtualDisplay& display,
                  double rate_hz, const std::filesystem::path& film) {
  ChildPlan plan;
  plan.program = program;
  plan.arguments = {"--screen", display.screen_file().string(),
                    "--rate",   std::to_string(rate_hz),
                    "--out",    film.string()};
  plan.stdout_file = words_of(film);
  plan.stderr_file = errors_of(film);
  return plan;
}

}  // namespace

CameraRun::CameraRun(const std::filesystem::path& program, const VirtualDisplay& display,
                     double rate_hz, const std::filesystem::path& film)
    : film_(film), process_(plan_of(program, display, rate_hz, film)) {
  const std::int64_t deadline_ns = monotonic_raw_ns() + ns_of_s(kStartTimeoutS);
  while (monotonic_raw_ns() < deadline_ns && !process_.exit_code()) {
    if (contents(words_of(film_)).find('\n') != std::string::npos) {
      return;
    }
    sleep_ns(5 * kNsPerMs);
  }
  throw Error("the camera took no picture: " + contents(errors_of(film_)));
}

CameraReport CameraRun::finish() {
  process_.send(SIGTERM);
  if (process_.wait(kEndTimeoutS) != 0) {
    throw Error("the camera did not finish its film: " + contents(errors_of(film_)));
  }
  std::ifstream input(words_of(film_));
  std::string line;
  std::getline(input, line);
  CameraReport report;
  report.first_ns = nlohmann::json::parse(line).at("first_ns");
  std::getline(input, line);
  const nlohmann::json end = nlohmann::json::parse(line);
  report.pictures = end.at("filmed");
  report.left_out = end.at("late").get<std::int64_t>() + end.at("torn").get<std::int64_t>();
  report.longest_gap_ms = end.at("longest_gap_ns").get<double>() / 1e6;
  report.copy_median_ms = end.at("copy_median_ns").get<double>() / 1e6;
  return report;
}

}  // namespace thumblight::bench
