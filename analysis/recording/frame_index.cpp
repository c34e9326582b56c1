#include "analysis/recording/frame_index.hpp"

#include <algorithm>
#include <cstring>
#include <map>

#include "analysis/recording/image_folder.hpp"
#include "analysis/recording/stream_opener.hpp"
#include "analysis/recording/video_reader.hpp"

extern "C" {
#include <libavcodec/packet.h>
#include <libavformat/avformat.h>
}

namespace thumblight::recording {
namespace {

/// What the packets of a stream say.
struct PacketList {
  std::vector<std::int64_t> shown;  ///< stamps of pictures that are shown, in the file's order
  std::vector<KeyPlace> keys;
  bool complete = true;  ///< every packet has a stamp and none is damaged
};

/// MP4 and MOV find a key by the time of its decoding, the others by that of its showing.
bool seeks_by_decoding_time(const AVFormatContext& input) {
  return std::strstr(input.iformat->name, "mp4") != nullptr;
}

void take_packet(const AVPacket& packet, bool by_decoding_time, PacketList& list) {
  constexpr int kDamaged = AV_PKT_FLAG_CORRUPT;
  if (packet.pts == AV_NOPTS_VALUE || (packet.flags & kDamaged) != 0) {
    list.complete = false;
    return;
  }
  if ((packet.flags & AV_PKT_FLAG_DISCARD) == 0) {
    list.shown.push_back(packet.pts);
  }
  if ((packet.flags & AV_PKT_FLAG_KEY) != 0) {
    const bool by_dts = by_decoding_time && packet.dts != AV_NOPTS_VALUE;
    list.keys.push_back({0, packet.pts, by_dts ? packet.dts : packet.pts, {}});
  }
}

PacketList list_packets(const std::filesystem::path& file) {
  const OpenStream stream = open_stream(file, true, 1);
  const PacketHandle packet(av_packet_alloc());
  const bool by_decoding_time = seeks_by_decoding_time(*stream.input);
  PacketList list;
  int read = 0;
  while ((read = av_read_frame(stream.input.get(), packet.get())) >= 0) {
    if (packet->stream_index == stream.index) {
      take_packet(*packet, by_decoding_time, list);
    }
    av_packet_unref(packet.get());
  }
  list.complete = list.complete && read == AVERROR_EOF;
  return list;
}

bool rises(const std::vector<std::int64_t>& stamps) {
  return std::adjacent_find(stamps.begin(), stamps.end(), std::greater_equal<>()) == stamps.end();
}

/// Says of each key with which frame it begins. Keys whose pictures are never shown stay: frames
/// after them may need them.
std::vector<KeyPlace> placed(std::vector<KeyPlace> keys, const std::vector<std::int64_t>& stamps) {
  std::sort(keys.begin(), keys.end(),
            [](const KeyPlace& a, const KeyPlace& b) { return a.stamp < b.stamp; });
  for (KeyPlace& key : keys) {
    key.frame = std::lower_bound(stamps.begin(), stamps.end(), key.stamp) - stamps.begin();
  }
  return keys;
}

FrameIndex index_images(const std::filesystem::path& folder) {
  FrameIndex index;
  index.info = ImageFolder(folder).info();
  const std::vector<NumberedImage> images = list_images(folder);
  for (const NumberedImage& image : images) {
    index.stamps.push_back(image.number - images.front().number);
  }
  return index;
}

}  // namespace

std::optional<FrameIndex> index_by_packets(const std::filesystem::path& path) {
  if (std::filesystem::is_directory(path)) {
    return index_images(path);
  }
  PacketList list = list_packets(path);
  std::sort(list.shown.begin(), list.shown.end());
  if (!list.complete || list.shown.empty() || list.keys.empty() || !rises(list.shown)) {
    return std::nullopt;
  }
  FrameIndex index;
  index.info = VideoReader(path, 1).info();
  index.stamps = std::move(list.shown);
  index.keys = placed(std::move(list.keys), index.stamps);
  return index;
}

FrameIndex index_by_decoding(const std::filesystem::path& path, const IndexProgress& progress) {
  if (std::filesystem::is_directory(path)) {
    return index_images(path);
  }
  std::map<std::int64_t, KeyPlace> keys;
  for (const KeyPlace& key : list_packets(path).keys) {
    keys[key.stamp] = key;
  }
  const auto source = open_frames(path, 0);
  FrameIndex index;
  index.info = source->info();
  Frame frame;
  while (source->next(frame)) {
    const auto key = keys.find(frame.stamp);
    if (key != keys.end()) {
      key->second.frame = index.frames();
      key->second.print = print_of(frame.luma);
    }
    index.stamps.push_back(frame.stamp);
    index.unstamped += frame.stamped ? 0 : 1;
    if (progress && !progress(index.frames())) {
      return index;
    }
  }
  if (index.unstamped == 0 && rises(index.stamps)) {
    for (const auto& [stamp, key] : keys) {
      if (key.print) {
        index.keys.push_back(key);
      }
    }
  }
  return index;
}

}  // namespace thumblight::recording
