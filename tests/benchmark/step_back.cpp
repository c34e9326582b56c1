#include <algorithm>
#include <chrono>
#include <cstdio>
#include <exception>
#include <random>
#include <thread>
#include <vector>

#include "analysis/recording/colour_pixels.hpp"
#include "analysis/recording/frame_browser.hpp"
#include "tests/benchmark/made_files.hpp"
#include "tests/benchmark/measured_child.hpp"
#include "tests/support/temporary_folder.hpp"

extern "C" {
#include <libavutil/frame.h>
}

/// How long one step back takes at random places of a minute of 1920x1080, 240 frames a second,
/// H.264, until its colours are there: by the browser, and by seeking the last key and decoding
/// from there. Steps come at once after a jump, and thirty a second for two seconds, as of a key
/// held.
///
///     benchmark_step_back [FILM]
namespace {

using namespace thumblight;
using namespace thumblight::recording;
using Clock = std::chrono::steady_clock;

constexpr int kPlaces = 20;
constexpr int kSteps = 60;
constexpr std::chrono::microseconds kKeyRepeat(33'333);

/// Times of one kind of act, in milliseconds.
class Times {
 public:
  template <typename Act>
  void measure(const Act& act) {
    const Clock::time_point begin = Clock::now();
    act();
    ms_.push_back(std::chrono::duration<double, std::milli>(Clock::now() - begin).count());
  }
  double median() {
    std::sort(ms_.begin(), ms_.end());
    return ms_[ms_.size() / 2];
  }
  double worst() const { return *std::max_element(ms_.begin(), ms_.end()); }
  void print(const char* what) {
    std::printf("%-38s median %8.2f ms, worst %8.2f ms, of %zu\n", what, median(), worst(),
                ms_.size());
    std::fflush(stdout);
  }

 private:
  std::vector<double> ms_;
};

std::vector<std::int64_t> random_places(std::int64_t frames) {
  std::mt19937_64 engine(5);
  std::uniform_int_distribution<std::int64_t> anywhere(kSteps + 2, frames - 1);
  std::vector<std::int64_t> places(kPlaces);
  std::generate(places.begin(), places.end(), [&] { return anywhere(engine); });
  return places;
}

Times plain_steps(const std::filesystem::path& film, const FrameIndex& index) {
  const auto reader = open_placed(film, index, 0);
  ColourConverter converter;
  ColourPixels pixels;
  Times times;
  for (const std::int64_t place : random_places(index.frames())) {
    reader->go_to(place);
    while (reader->at() <= place) {
      reader->next();
    }
    times.measure([&] {
      reader->go_to(place - 1);
      while (reader->at() < place - 1) {
        reader->next();
      }
      converter.convert(*reader->next(), pixels);
    });
  }
  return times;
}

struct BrowserTimes {
  Times jumps;
  Times first_steps;
  Times held_steps;
};

BrowserTimes browser_steps(const std::filesystem::path& film, const FrameIndex& index) {
  FrameBrowser browser(film, index);
  ColourConverter converter;
  ColourPixels pixels;
  BrowserTimes times;
  for (const std::int64_t place : random_places(index.frames())) {
    times.jumps.measure([&] { converter.convert(*browser.get(place), pixels); });
    times.first_steps.measure([&] { converter.convert(*browser.get(place - 1), pixels); });
    Clock::time_point due = Clock::now();
    for (int step = 2; step < kSteps; ++step) {
      due += kKeyRepeat;
      std::this_thread::sleep_until(due);
      times.held_steps.measure([&] { converter.convert(*browser.get(place - step), pixels); });
    }
  }
  return times;
}

bool run(const std::filesystem::path& film) {
  Times opening;
  std::optional<FrameIndex> index;
  opening.measure([&] { index = index_by_packets(film); });
  if (!index) {
    std::fprintf(stderr, "the film's packets do not tell its frames\n");
    return false;
  }
  std::printf("%lld frames, %zu keys\n", static_cast<long long>(index->frames()),
              index->keys.size());
  opening.print("numbering the frames");
  Times plain = plain_steps(film, *index);
  plain.print("step back, from the last key");
  BrowserTimes browser = browser_steps(film, *index);
  browser.jumps.print("jump, by the browser");
  browser.first_steps.print("step back at once after it");
  browser.held_steps.print("steps back, thirty a second");
  constexpr double kMostMs = 50;
  const double worst = std::max(browser.first_steps.worst(), browser.held_steps.worst());
  bool met = benchmark::print_against("worst step back, ms:", worst, kMostMs);
  met = benchmark::print_against(
            "median step over plain seeking:", browser.held_steps.median() / plain.median(), 0.2) &&
        met;
  return met;
}

}  // namespace

int main(int argc, char** argv) {
  try {
    const test::TemporaryFolder folder;
    return run(argc > 1 ? std::filesystem::path(argv[1])
                        : benchmark::make_moving_film(folder.path(), 60))
               ? 0
               : 1;
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s\n", error.what());
    return 1;
  }
}
