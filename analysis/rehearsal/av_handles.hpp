#pragma once

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
}

#include <memory>
#include <string>

/// Owners of what FFmpeg's libraries hand out.
namespace thumblight::rehearsal {

struct FreeCodec {
  void operator()(AVCodecContext* codec) const { avcodec_free_context(&codec); }
};
struct FreeFrame {
  void operator()(AVFrame* frame) const { av_frame_free(&frame); }
};
struct FreePacket {
  void operator()(AVPacket* packet) const { av_packet_free(&packet); }
};
struct FreeOutput {
  void operator()(AVFormatContext* format) const {
    avio_closep(&format->pb);
    avformat_free_context(format);
  }
};

using CodecHandle = std::unique_ptr<AVCodecContext, FreeCodec>;
using FrameHandle = std::unique_ptr<AVFrame, FreeFrame>;
using PacketHandle = std::unique_ptr<AVPacket, FreePacket>;
using OutputHandle = std::unique_ptr<AVFormatContext, FreeOutput>;

/// Throws `Error` if FFmpeg's `code` is one, with the file and what was being done.
void expect(int code, const std::string& file, const std::string& doing);

/// An output file whose container follows from its name; nothing is written yet.
OutputHandle open_output(const std::string& file);

/// Sends one frame (or, with none, the end) through an encoder into the file's stream.
void encode_into(AVFormatContext& output, AVStream& stream, AVCodecContext& codec,
                 const AVFrame* frame, const std::string& file);

}  // namespace thumblight::rehearsal
