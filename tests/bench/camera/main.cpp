#include <CLI/CLI.hpp>
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

/// How far the encoder may fall behind, in pictures.
constexpr std::size_t kCapacity = 120;

bench::ScreenCamera* running = nullptr;

void stop_running(int) {
  running->stop();
}

void add_options(CLI::App& app, Options& options) {
  app.add_option("--screen", options.screen, "file that an X server maps its screen to")
      ->required();
  app.add_option("--out", options.out, "the film, an MP4 file")->required();
  app.add_option("--rate", options.rate_hz, "pictures a second")->check(CLI::Range(1.0, 1000.0));
}

nlohmann::json report_of(const bench::CameraCounts& counts) {
  const std::vector<double> copy_ns(counts.copy_ns.begin(), counts.copy_ns.end());
  return {{"filmed", counts.filmed},
          {"late", counts.late},
          {"torn", counts.torn},
          {"unheld", counts.unheld},
          {"longest_gap_ns", counts.longest_gap_ns},
          {"copy_median_ns", bench::quantile(copy_ns, 0.5)},
          {"copy_p99_ns", bench::quantile(copy_ns, 0.99)},
          {"realtime", counts.realtime}};
}

/// Tells the host's time of the first picture as soon as it is taken, and at the end the rest.
void film(const Options& options) {
  const bench::Framebuffer screen(options.screen);
  bench::FilmWriter writer(options.out, {screen.width(), screen.height()}, options.rate_hz);
  bench::PictureQueue queue(kCapacity, static_cast<std::size_t>(screen.width()) * screen.height());
  bench::ScreenCamera camera(screen, options.rate_hz, queue);
  running = &camera;
  std::signal(SIGTERM, stop_running);
  std::signal(SIGINT, stop_running);
  std::optional<std::int64_t> first_ns;
  while (const bench::ScreenPicture* picture = queue.oldest()) {
    if (!first_ns) {
      first_ns = picture->instant_ns();
      std::cout << nlohmann::json{{"first_ns", *first_ns}} << std::endl;
    }
    writer.write(picture->pixels, (picture->instant_ns() - *first_ns) / 1000);
    queue.pop();
  }
  if (!first_ns) {
    throw Error(options.out + ": was stopped before its first picture");
  }
  writer.finish();
  std::cout << report_of(camera.finish()) << std::endl;
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
