#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <vector>

#include "analysis/recording/frame_source.hpp"

/// Which frame is which: the numbers and stamps that reading from the beginning gives, known
/// without decoding where the file allows it.
namespace thumblight::recording {

/// A place in the file at which decoding may begin.
struct KeyPlace {
  std::int64_t frame = 0;  ///< the first frame that is whole when decoding begins here
  std::int64_t stamp = 0;
  std::int64_t seek_ticks = 0;         ///< what the container is asked for to come here
  std::optional<std::uint64_t> print;  ///< of its frame read from the beginning (`print_of`); what
                                       ///< looks otherwise when decoding begins here is damaged
};

struct FrameIndex {
  VideoInfo info;
  std::vector<std::int64_t> stamps;  ///< as `FrameSource` gives them, frame after frame
  std::int64_t unstamped = 0;        ///< frames whose stamp was made up
  std::vector<KeyPlace> keys;        ///< rising; empty where stamps do not tell the frames apart:
                                     ///< then every place is reached from the beginning

  std::int64_t frames() const { return static_cast<std::int64_t>(stamps.size()); }
};

/// Called with the frames read so far; false ends the reading.
using IndexProgress = std::function<bool(std::int64_t)>;

/// From the packets of a video, or the names of images: quick, but a supposition, since a decoder
/// may leave out a packet. It holds where the number of frames agrees with one that was counted by
/// decoding. Empty where the packets do not tell (no stamps, or stamps that do not differ). Throws
/// `Error` where nothing in the file can be shown.
std::optional<FrameIndex> index_by_packets(const std::filesystem::path& path);

/// By decoding every frame. Throws `Error`; gives what it has where `progress` says false.
FrameIndex index_by_decoding(const std::filesystem::path& path, const IndexProgress& progress);

}  // namespace thumblight::recording
