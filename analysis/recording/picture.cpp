#include "analysis/recording/picture.hpp"

#include <algorithm>
#include <array>
#include <fstream>

#include "analysis/recording/ffmpeg_handles.hpp"
#include "harness/session/error.hpp"

extern "C" {
#include <libavcodec/avcodec.h>
#include <libavutil/imgutils.h>
#include <libswscale/swscale.h>
}

namespace thumblight::recording {
namespace {

/// Five rows of three dots, the top row in the highest bits.
std::uint16_t glyph(char letter) {
  constexpr std::array<std::uint16_t, 10> kDigits = {075557, 026227, 071747, 071717, 055711,
                                                     074717, 074757, 071111, 075757, 075717};
  constexpr std::array<std::uint16_t, 26> kLetters = {
      025755, 065656, 034443, 065556, 074747, 074744, 034553, 055755, 072227,
      011157, 055655, 044447, 057755, 065555, 025552, 065644, 025563, 065655,
      034216, 072222, 055557, 055552, 055775, 055255, 055222, 071247};
  if (letter >= '0' && letter <= '9') {
    return kDigits[static_cast<std::size_t>(letter - '0')];
  }
  if (letter >= 'a' && letter <= 'z') {
    return kLetters[static_cast<std::size_t>(letter - 'a')];
  }
  switch (letter) {
    case '-':
      return 000700;
    case '+':
      return 002720;
    case '.':
      return 000002;
    default:
      return 0;
  }
}

CodecHandle open_encoder(const Picture& picture, AVCodecID id, AVPixelFormat format) {
  const AVCodec* encoder = avcodec_find_encoder(id);
  if (encoder == nullptr) {
    throw Error("FFmpeg's libraries here lack the encoder for pictures");
  }
  CodecHandle codec(avcodec_alloc_context3(encoder));
  codec->width = picture.width();
  codec->height = picture.height();
  codec->pix_fmt = format;
  codec->time_base = {1, 1};
  codec->thread_count = 1;
  if (id == AV_CODEC_ID_MJPEG) {
    codec->color_range = AVCOL_RANGE_JPEG;
    codec->flags |= AV_CODEC_FLAG_QSCALE;
    codec->global_quality = 3 * FF_QP2LAMBDA;
  }
  if (avcodec_open2(codec.get(), encoder, nullptr) < 0) {
    throw Error("a picture cannot be encoded");
  }
  return codec;
}

std::vector<std::uint8_t> packed_rgb(const Picture& picture) {
  std::vector<std::uint8_t> bytes;
  bytes.reserve(static_cast<std::size_t>(picture.width()) *
                static_cast<std::size_t>(picture.height()) * 3);
  for (int y = 0; y < picture.height(); ++y) {
    for (int x = 0; x < picture.width(); ++x) {
      const Colour colour = picture.at(x, y);
      bytes.insert(bytes.end(), {colour.r, colour.g, colour.b});
    }
  }
  return bytes;
}

FrameHandle frame_for(const Picture& picture, AVPixelFormat format) {
  FrameHandle frame(av_frame_alloc());
  frame->width = picture.width();
  frame->height = picture.height();
  frame->format = format;
  frame->quality = 3 * FF_QP2LAMBDA;
  if (av_frame_get_buffer(frame.get(), 0) < 0) {
    throw Error("out of memory for a picture");
  }
  const std::vector<std::uint8_t> rgb = packed_rgb(picture);
  ScalerHandle scaler(sws_getContext(frame->width, frame->height, AV_PIX_FMT_RGB24, frame->width,
                                     frame->height, format, SWS_POINT, nullptr, nullptr, nullptr));
  const std::array<const std::uint8_t*, 4> planes = {rgb.data(), nullptr, nullptr, nullptr};
  const std::array<int, 4> strides = {3 * picture.width(), 0, 0, 0};
  sws_scale(scaler.get(), planes.data(), strides.data(), 0, frame->height, frame->data,
            frame->linesize);
  return frame;
}

std::string encode(const Picture& picture, bool jpeg) {
  const AVPixelFormat format = jpeg ? AV_PIX_FMT_YUVJ444P : AV_PIX_FMT_RGB24;
  const CodecHandle codec =
      open_encoder(picture, jpeg ? AV_CODEC_ID_MJPEG : AV_CODEC_ID_PNG, format);
  const FrameHandle frame = frame_for(picture, format);
  const PacketHandle packet(av_packet_alloc());
  if (avcodec_send_frame(codec.get(), frame.get()) < 0 ||
      avcodec_send_frame(codec.get(), nullptr) < 0 ||
      avcodec_receive_packet(codec.get(), packet.get()) < 0) {
    throw Error("a picture cannot be encoded");
  }
  return {reinterpret_cast<const char*>(packet->data), static_cast<std::size_t>(packet->size)};
}

}  // namespace

void Picture::fill(int x, int y, int width, int height, Colour colour) {
  for (int row = std::max(y, 0); row < std::min(y + height, height_); ++row) {
    for (int column = std::max(x, 0); column < std::min(x + width, width_); ++column) {
      set(column, row, colour);
    }
  }
}

void Picture::outline(int x, int y, int width, int height, int thickness, Colour colour) {
  fill(x, y, width, thickness, colour);
  fill(x, y + height - thickness, width, thickness, colour);
  fill(x, y, thickness, height, colour);
  fill(x + width - thickness, y, thickness, height, colour);
}

void Picture::place(const Picture& other, int x, int y) {
  for (int row = 0; row < other.height(); ++row) {
    for (int column = 0; column < other.width(); ++column) {
      set(x + column, y + row, other.at(column, row));
    }
  }
}

Picture Picture::turned(int clockwise_deg) const {
  const bool sideways = clockwise_deg == 90 || clockwise_deg == 270;
  Picture turned = sideways ? Picture(height_, width_) : Picture(width_, height_);
  for (int y = 0; y < height_; ++y) {
    for (int x = 0; x < width_; ++x) {
      const Colour colour = at(x, y);
      if (clockwise_deg == 90) {
        turned.set(height_ - 1 - y, x, colour);
      } else if (clockwise_deg == 180) {
        turned.set(width_ - 1 - x, height_ - 1 - y, colour);
      } else if (clockwise_deg == 270) {
        turned.set(y, width_ - 1 - x, colour);
      } else {
        turned.set(x, y, colour);
      }
    }
  }
  return turned;
}

Picture Picture::enlarged(int factor) const {
  Picture larger(width_ * factor, height_ * factor);
  for (int y = 0; y < height_; ++y) {
    for (int x = 0; x < width_; ++x) {
      larger.fill(x * factor, y * factor, factor, factor, at(x, y));
    }
  }
  return larger;
}

int write_text(Picture& picture, int x, int y, int size, const std::string& text, Colour colour) {
  int pen = x;
  for (const char letter : text) {
    const std::uint16_t dots = glyph(letter);
    for (int bit = 0; bit < 15; ++bit) {
      if ((dots >> (14 - bit) & 1) != 0) {
        picture.fill(pen + bit % 3 * size, y + bit / 3 * size, size, size, colour);
      }
    }
    pen += 4 * size;
  }
  return pen - x;
}

int text_width(const std::string& text, int size) {
  return static_cast<int>(text.size()) * 4 * size;
}

void write_picture(const Picture& picture, const std::filesystem::path& file) {
  const std::string bytes = encode(picture, file.extension() == ".jpg");
  const std::filesystem::path unfinished = file.string() + ".part";
  std::ofstream out(unfinished, std::ios::binary);
  out << bytes;
  out.close();
  std::error_code fault;
  if (out) {
    std::filesystem::rename(unfinished, file, fault);
  }
  if (!out || fault) {
    std::error_code ignored;
    std::filesystem::remove(unfinished, ignored);
    throw Error(file.string() + ": the picture cannot be written (is the disk full?)");
  }
}

}  // namespace thumblight::recording
