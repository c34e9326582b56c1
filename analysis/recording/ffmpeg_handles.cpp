#include "analysis/recording/ffmpeg_handles.hpp"

#include <array>

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libswresample/swresample.h>
#include <libswscale/swscale.h>
}

namespace thumblight::recording {

void FfmpegFree::operator()(AVCodecContext* codec) const {
  avcodec_free_context(&codec);
}
void FfmpegFree::operator()(AVFormatContext* input) const {
  avformat_close_input(&input);
}
void FfmpegFree::operator()(AVFrame* frame) const {
  av_frame_free(&frame);
}
void FfmpegFree::operator()(AVPacket* packet) const {
  av_packet_free(&packet);
}
void FfmpegFree::operator()(SwrContext* resampler) const {
  swr_free(&resampler);
}
void FfmpegFree::operator()(SwsContext* scaler) const {
  sws_freeContext(scaler);
}

std::string ffmpeg_words(int code) {
  std::array<char, AV_ERROR_MAX_STRING_SIZE> words{};
  av_strerror(code, words.data(), words.size());
  return words.data();
}

}  // namespace thumblight::recording
