#pragma once

#include <filesystem>

#include "analysis/recording/ffmpeg_handles.hpp"

/// Opening a file and the decoder of its best stream of one kind: what video and sound share.
namespace thumblight::recording {

struct OpenStream {
  InputHandle input;
  CodecHandle codec;
  int index = -1;  ///< of the stream in the file
};

/// Opens `file` alone. Throws `Error` where it cannot be read or is no media file.
InputHandle open_input(const std::filesystem::path& file);

bool has_stream(const AVFormatContext& input, bool video);

/// Opens the decoder of the best video or sound stream; `threads` 0 is one a core,
/// sixteen at most.
OpenStream open_stream(const std::filesystem::path& file, bool video, int threads);

}  // namespace thumblight::recording
