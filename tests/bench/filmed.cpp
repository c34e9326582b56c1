#include <cmath>
#include <cstdio>

#include "harness/session/error.hpp"
#include "tests/bench/commands.hpp"
#include "tests/bench/film/film_check.hpp"

namespace thumblight::bench {
namespace {

void print_session(const std::string& pacing, const FilmedSession& filmed) {
  std::printf(
      "\n%s: %zu presses; pixels read %.0f times a second, largest gap %.2f ms\n"
      "film: %lld pictures, %lld left out, longest gap %.2f ms, each copied in %.2f ms\n",
      pacing.c_str(), filmed.presses.size(), filmed.session.rate.rate_hz,
      static_cast<double>(filmed.session.rate.largest_gap_ns) / 1e6,
      static_cast<long long>(filmed.camera.pictures),
      static_cast<long long>(filmed.camera.left_out), filmed.camera.longest_gap_ms,
      filmed.camera.copy_median_ms);
}

void print_figure(const FilmFigure& figure) {
  char film[40];
  std::snprintf(film, sizeof film, figure.is_bounded() ? "%.3f to %.3f" : "%.3f", figure.low_ms,
                figure.high_ms);
  std::printf("  %-26s %18s  %9.3f  %10.3f  %7.3f  %7.3f  %s\n", figure.what.c_str(), film,
              figure.seen_ms, figure.difference_ms(), figure.u_ms, kCoverage * figure.u_ms,
              figure.is_met() ? "met" : "MISSED");
}

void print_check(const FilmCheck& check) {
  for (const std::string& fault : check.faults) {
    std::printf("FAULT: %s\n", fault.c_str());
  }
  std::printf("  %-26s %18s  %9s  %10s  %7s  %7s\n", "means, ms", "film", "observer", "difference",
              "u", "limit");
  for (const FilmFigure& figure : check.figures) {
    print_figure(figure);
  }
  std::printf(
      "  an instant is uncertain by %.3f ms as stated and by %.3f ms as it turned out (root mean "
      "square); a picture's time / sqrt(12) is %.3f ms\n",
      check.instant_u_ms, check.instant_error_ms, check.frame_ms / std::sqrt(12.0));
  std::fflush(stdout);
}

bool film(const BenchOptions& options, const std::string& pacing) {
  FilmPlan plan = film_plan(options.harness, options.camera, options.out / pacing, pacing,
                            options.presses > 0 ? options.presses : 40);
  plan.session.gaps.seed = options.seed;
  const FilmedSession filmed = film_session_patiently(
      plan, [](const std::string& why) { std::printf("filming again: %s\n", why.c_str()); });
  print_session(pacing, filmed);
  const FilmCheck check =
      check_film(analyse_film(options.analysis, filmed.folder, filmed.camera.first_ns), filmed);
  print_check(check);
  return check.is_met();
}

}  // namespace

int filmed(const BenchOptions& options) {
  bool good = true;
  // At once, and with a wait for the refresh, as far as a display without one gives it.
  for (const char* pacing : {"on-press", "frame-start"}) {
    good = film(options, pacing) && good;
  }
  std::printf("\nthe film against the observer: %s\n", good ? "met" : "MISSED");
  return good ? kExitGood : kExitFailed;
}

}  // namespace thumblight::bench
