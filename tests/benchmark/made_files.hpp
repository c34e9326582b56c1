#pragma once

#include <filesystem>

/// Recordings to be read at full length, made by ffmpeg alone.
namespace thumblight::benchmark {

/// H.264, 1920x1080, 240 frames a second, with sensor noise, a patch that flashes and a lamp
/// before each flash, in the folder `film-SECONDS.mp4`. `seconds` is a multiple of five.
std::filesystem::path make_film(const std::filesystem::path& folder, int seconds);

/// The same size and rate, all of it moving, with what the encoder does if nobody asks: pictures
/// that refer to later ones, and a key every 250 frames. `seconds` is a multiple of five.
std::filesystem::path make_moving_film(const std::filesystem::path& folder, int seconds);

/// Two channels at 48 kHz, light and contact, `ending` wav or flac.
std::filesystem::path make_trace(const std::filesystem::path& folder, int minutes,
                                 const char* ending);

}  // namespace thumblight::benchmark
