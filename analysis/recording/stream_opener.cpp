#include "analysis/recording/stream_opener.hpp"

#include <algorithm>
#include <thread>

#include "harness/session/error.hpp"

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
}

namespace thumblight::recording {
namespace {

AVMediaType media_type(bool video) {
  return video ? AVMEDIA_TYPE_VIDEO : AVMEDIA_TYPE_AUDIO;
}

bool is_cover_picture(const AVStream& stream) {
  return (stream.disposition & AV_DISPOSITION_ATTACHED_PIC) != 0;
}

void drop_other_streams(AVFormatContext& input, int kept) {
  for (unsigned i = 0; i < input.nb_streams; ++i) {
    if (static_cast<int>(i) != kept) {
      input.streams[i]->discard = AVDISCARD_ALL;
    }
  }
}

/// FFmpeg's own choice is one more, and takes a tenth longer on two cores.
int one_a_core() {
  constexpr unsigned kMost = 16;  // each holds pictures of its own
  return static_cast<int>(std::clamp(std::thread::hardware_concurrency(), 1U, kMost));
}

CodecHandle open_decoder(const AVStream& stream, const std::string& name, int threads) {
  const AVCodec* decoder = avcodec_find_decoder(stream.codecpar->codec_id);
  if (decoder == nullptr) {
    throw Error(name + ": no decoder here for its codec '" +
                avcodec_get_name(stream.codecpar->codec_id) + "'; convert it to H.264 or FFV1");
  }
  CodecHandle codec(avcodec_alloc_context3(decoder));
  avcodec_parameters_to_context(codec.get(), stream.codecpar);
  codec->thread_count = threads > 0 ? threads : one_a_core();
  codec->pkt_timebase = stream.time_base;
  const int opened = avcodec_open2(codec.get(), decoder, nullptr);
  if (opened < 0) {
    throw Error(name + ": its decoder does not start (" + ffmpeg_words(opened) + ")");
  }
  return codec;
}

}  // namespace

InputHandle open_input(const std::filesystem::path& file) {
  av_log_set_level(AV_LOG_QUIET);
  if (!std::filesystem::exists(file)) {
    throw Error(file.string() + ": there is no such file");
  }
  if (std::filesystem::file_size(file) == 0) {
    throw Error(file.string() + ": the file is empty; copy it from the camera again");
  }
  AVFormatContext* opened = nullptr;
  // The prefix keeps a name with a colon from being taken for a network address.
  const int code =
      avformat_open_input(&opened, ("file:" + file.string()).c_str(), nullptr, nullptr);
  if (code < 0) {
    throw Error(file.string() + ": neither a video nor a sound file that can be read (" +
                ffmpeg_words(code) + "); give the file as it came off the camera");
  }
  InputHandle input(opened);
  if (avformat_find_stream_info(input.get(), nullptr) < 0) {
    throw Error(file.string() + ": its streams cannot be read; copy it from the camera again");
  }
  return input;
}

bool has_stream(const AVFormatContext& input, bool video) {
  for (unsigned i = 0; i < input.nb_streams; ++i) {
    const AVStream& stream = *input.streams[i];
    if (stream.codecpar->codec_type == media_type(video) && !is_cover_picture(stream)) {
      return true;
    }
  }
  return false;
}

OpenStream open_stream(const std::filesystem::path& file, bool video, int threads) {
  OpenStream opened;
  opened.input = open_input(file);
  opened.index = av_find_best_stream(opened.input.get(), media_type(video), -1, -1, nullptr, 0);
  if (opened.index < 0) {
    throw Error(file.string() + (video ? ": it holds no pictures; give a video or use it as sound"
                                       : ": it holds no sound track"));
  }
  drop_other_streams(*opened.input, opened.index);
  opened.codec = open_decoder(*opened.input->streams[opened.index], file.string(), threads);
  return opened;
}

}  // namespace thumblight::recording
