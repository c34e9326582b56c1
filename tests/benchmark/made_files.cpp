#include "tests/benchmark/made_files.hpp"

#include <string>

#include "tests/benchmark/measured_child.hpp"

namespace thumblight::benchmark {
namespace {

const std::string kFfmpeg = "ffmpeg -v error -nostdin -y ";

std::string quoted(const std::filesystem::path& file) {
  return "'" + file.string() + "'";
}

/// `loops` times the same stream in one file, not encoded again.
void repeat(const std::filesystem::path& from, int loops, const std::string& how,
            const std::filesystem::path& to) {
  seconds_of_command(kFfmpeg + "-stream_loop " + std::to_string(loops - 1) + " -i " + quoted(from) +
                     " " + how + " " + quoted(to));
}

/// A box that is drawn from `late_s` after each of five uneven instants on, for `hold_s`.
std::string flashing_box(const std::string& place, double late_s, double hold_s) {
  std::string when;
  for (const double at_s : {0.31, 1.37, 2.28, 3.41, 4.33}) {
    when += (when.empty() ? "" : "+") + std::string("between(t,") + std::to_string(at_s + late_s) +
            "," + std::to_string(at_s + late_s + hold_s) + ")";
  }
  return "drawbox=" + place + ":t=fill:enable='" + when + "'";
}

}  // namespace

std::filesystem::path make_film(const std::filesystem::path& folder, int seconds) {
  constexpr int kLoop_s = 5;
  const std::filesystem::path loop = folder / "loop.mp4";
  if (!std::filesystem::exists(loop)) {
    const std::string scene =
        "color=0x505860:s=1920x1080:r=240:d=5,"
        "drawbox=x=500:y=200:w=900:h=560:c=0x101010:t=fill," +
        flashing_box("x=780:y=330:w=330:h=300:c=0xd8d8d8", 0.045, 0.2) + "," +
        flashing_box("x=300:y=850:w=70:h=70:c=0xd0d0d0", 0, 0.12) +
        ",noise=c0s=7:c0f=t,format=yuv420p";
    seconds_of_command(kFfmpeg + "-f lavfi -i \"" + scene +
                       "\" -c:v libx264 -preset veryfast -b:v 50M -g 240 -bf 0 " + quoted(loop));
  }
  const std::filesystem::path film = folder / ("film-" + std::to_string(seconds) + ".mp4");
  repeat(loop, seconds / kLoop_s, "-c copy", film);
  return film;
}

std::filesystem::path make_moving_film(const std::filesystem::path& folder, int seconds) {
  constexpr int kLoop_s = 5;
  const std::filesystem::path loop = folder / "moving.mp4";
  seconds_of_command(kFfmpeg +
                     "-f lavfi -i \"testsrc2=s=1920x1080:r=240:d=5,noise=c0s=6:c0f=t\" -c:v "
                     "libx264 -preset veryfast -b:v 40M -pix_fmt yuv420p " +
                     quoted(loop));
  const std::filesystem::path film = folder / ("moving-" + std::to_string(seconds) + ".mp4");
  repeat(loop, seconds / kLoop_s, "-c copy", film);
  return film;
}

std::filesystem::path make_trace(const std::filesystem::path& folder, int minutes,
                                 const char* ending) {
  const std::filesystem::path loop = folder / "minute.wav";
  if (!std::filesystem::exists(loop)) {
    // A press every 0.9 s, its light 31 to 44 ms later, both over noise.
    seconds_of_command(
        kFfmpeg +
        "-f lavfi -i \"aevalsrc='0.005*(random(0)-0.5)+0.5*between(mod(t,0.9),0.1+0.031"
        "+0.001*mod(floor(t/0.9),14),0.35)|0.005*(random(1)-0.5)+0.6*between(mod(t,0.9),0.1,0.2)'"
        ":s=48000:d=60\" " +
        quoted(loop));
  }
  const std::filesystem::path trace = folder / ("trace-" + std::to_string(minutes) + "." + ending);
  repeat(loop, minutes, "", trace);
  return trace;
}

}  // namespace thumblight::benchmark
