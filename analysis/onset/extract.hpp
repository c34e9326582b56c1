#pragma once

#include <filesystem>

#include "analysis/onset/film.hpp"
#include "analysis/onset/setup.hpp"
#include "analysis/onset/timings.hpp"
#include "harness/session/records.hpp"

namespace thumblight::onset {

/// What to read, and with what knowledge.
struct Request {
  std::filesystem::path recording;    ///< a video, a folder of images, a sound file or a CSV table
  const session::Log* log = nullptr;  ///< of the same session, where there is one
  Setup setup;
  int threads = 0;                 ///< of the decoder; 0 is one a core
  std::filesystem::path evidence;  ///< folder for regions.png and evidence/; empty: no pictures
  Progress progress;               ///< may be empty
};

/// Every press and light of a recording. Throws `Error` with one sentence where nothing can be
/// told; pictures are written only once all instants are found.
Timings extract(const Request& request);

/// The two kinds of recording.
Timings extract_video(const Request& request);
Timings extract_trace(const Request& request);

}  // namespace thumblight::onset
