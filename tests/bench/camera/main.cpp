#include <CLI/CLI.hpp>
#include <algorithm>
#include <atomic>
#include <csignal>
#include <iostream>
#include <nlohmann/json.hpp>

#include "harness/session/error.hpp"
#include "tests/bench/camera/film_writer.hpp"
#include "tests/bench/camera/screen_camera.hpp"
#include "tests/bench/quantile.hpp"

using namespace thumblight;

namespace {

struct Options {
  std::string screen;
  std::string out;
  double rate_hz = 120;
};

std::atomic<bool> stopping{false};

void stop(int) {
  stopping = true;
}

void add_options(CLI::App& app, Options& options) {
  app.add_option("--screen", options.screen, "file that an X server maps its screen to")
      ->required();
  app.add_option("--out", options.out, "the film, an MP4 file")->required();
  app.add_option("--rate", options.rate_hz, "pictures a second")->check(CLI::Range(1.0, 1000.0));
}

std::int64_t longest_gap_ns(const std::vector<bench::ScreenPicture>& pictures) {
  std::int64_t longest_ns = 0;
  for (std::size_t k = 1; k < pictures.size(); ++k) {
    longest_ns = std::max(longest_ns, pictures[k].instant_ns - pictures[k - 1].instant_ns);
  }
  return longest_ns;
}

nlohmann::json report_of(const bench::ScreenFilm& film) {
  const std::vector<double> copy_ns(film.copy_ns.begin(), film.copy_ns.end());
  return {{"filmed", film.pictures.size()},
          {"late", film.late},
          {"torn", film.torn},
          {"longest_gap_ns", longest_gap_ns(film.pictures)},
          {"copy_median_ns", bench::quantile(copy_ns, 0.5)},
          {"copy_p99_ns", bench::quantile(copy_ns, 0.99)},
          {"realtime", film.realtime}};
}

/// In ticks of the film from its first picture.
std::int64_t stamp_of(const bench::ScreenPicture& picture, std::int64_t first_ns) {
  constexpr std::int64_t kNsPerTick = 1'000'000'000 / bench::FilmWriter::kTicksPerS;
  return (picture.instant_ns - first_ns + kNsPerTick / 2) / kNsPerTick;
}

/// Tells the host's time of the first picture as soon as it is taken, and at the end the rest.
void film(const Options& options) {
  const bench::Framebuffer screen(options.screen);
  bench::FilmWriter writer(options.out, {screen.width(), screen.height()}, options.rate_hz);
  std::signal(SIGTERM, stop);
  std::signal(SIGINT, stop);
  const bench::ScreenFilm film =
      bench::ScreenCamera(screen, options.rate_hz).film(stopping, [](std::int64_t first_ns) {
        std::cout << nlohmann::json{{"first_ns", first_ns}} << std::endl;
      });
  if (film.pictures.empty()) {
    throw Error(options.out + ": was stopped before its first picture");
  }
  for (const bench::ScreenPicture& picture : film.pictures) {
    writer.write(film.images[picture.image], stamp_of(picture, film.pictures.front().instant_ns));
  }
  writer.finish();
  std::cout << report_of(film) << std::endl;
}

}  // namespace

int main(int count, char** arguments) {
  CLI::App app("Films the screen of an X server until it is told to end (SIGTERM).");
  Options options;
  add_options(app, options);
  try {
    app.parse(count, arguments);
    film(options);
    return kExitGood;
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? kExitGood : kExitUsage;
  } catch (const std::exception& error) {
    std::cerr << "thumblight-screen-camera: " << error.what() << '\n';
    return kExitFailed;
  }
}
