#pragma once

#include <memory>
#include <string>

struct AVCodecContext;
struct AVFormatContext;
struct AVFrame;
struct AVPacket;
struct SwrContext;
struct SwsContext;

/// Owners of FFmpeg's objects, freed by the function that belongs to each.
namespace thumblight::recording {

struct FfmpegFree {
  void operator()(AVCodecContext* codec) const;
  void operator()(AVFormatContext* input) const;
  void operator()(AVFrame* frame) const;
  void operator()(AVPacket* packet) const;
  void operator()(SwrContext* resampler) const;
  void operator()(SwsContext* scaler) const;
};

using CodecHandle = std::unique_ptr<AVCodecContext, FfmpegFree>;
using InputHandle = std::unique_ptr<AVFormatContext, FfmpegFree>;
using FrameHandle = std::unique_ptr<AVFrame, FfmpegFree>;
using PacketHandle = std::unique_ptr<AVPacket, FfmpegFree>;
using ResamplerHandle = std::unique_ptr<SwrContext, FfmpegFree>;
using ScalerHandle = std::unique_ptr<SwsContext, FfmpegFree>;

/// FFmpeg's words for one of its error codes.
std::string ffmpeg_words(int code);

}  // namespace thumblight::recording
