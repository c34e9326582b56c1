#include "analysis/rehearsal/av_handles.hpp"

#include <array>

#include "harness/session/error.hpp"

namespace thumblight::rehearsal {

void expect(int code, const std::string& file, const std::string& doing) {
  if (code >= 0) {
    return;
  }
  std::array<char, AV_ERROR_MAX_STRING_SIZE> text{};
  av_strerror(code, text.data(), text.size());
  throw Error(file + ": " + doing + " failed: " + text.data());
}

OutputHandle open_output(const std::string& file) {
  av_log_set_level(AV_LOG_ERROR);  // encoders would tell their whole life
  AVFormatContext* format = nullptr;
  expect(avformat_alloc_output_context2(&format, nullptr, nullptr, file.c_str()), file,
         "choosing a container");
  OutputHandle output(format);
  // No version strings and no random identifiers: the same settings give the same bytes.
  output->flags |= AVFMT_FLAG_BITEXACT;
  expect(avio_open(&output->pb, file.c_str(), AVIO_FLAG_WRITE), file, "opening it for writing");
  return output;
}

void encode_into(AVFormatContext& output, AVStream& stream, AVCodecContext& codec,
                 const AVFrame* frame, const std::string& file) {
  expect(avcodec_send_frame(&codec, frame), file, "encoding");
  const PacketHandle packet(av_packet_alloc());
  for (;;) {
    const int code = avcodec_receive_packet(&codec, packet.get());
    if (code == AVERROR(EAGAIN) || code == AVERROR_EOF) {
      return;
    }
    expect(code, file, "encoding");
    packet->stream_index = stream.index;
    av_packet_rescale_ts(packet.get(), codec.time_base, stream.time_base);
    expect(av_interleaved_write_frame(&output, packet.get()), file, "writing");
  }
}

}  // namespace thumblight::rehearsal
