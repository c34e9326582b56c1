#include "analysis/recording/luma_plane.hpp"

#include <utility>

#include "harness/session/error.hpp"

extern "C" {
#include <libavutil/frame.h>
#include <libavutil/pixdesc.h>
#include <libswscale/swscale.h>
}

namespace thumblight::recording {
namespace {

const AVPixFmtDescriptor& descriptor_of(const AVFrame& frame) {
  const AVPixFmtDescriptor* descriptor =
      av_pix_fmt_desc_get(static_cast<AVPixelFormat>(frame.format));
  if (descriptor == nullptr) {
    throw Error("the video has frames of an unknown pixel format");
  }
  return *descriptor;
}

bool has_plain_luma_plane(const AVPixFmtDescriptor& descriptor) {
  constexpr std::uint64_t kOther = AV_PIX_FMT_FLAG_RGB | AV_PIX_FMT_FLAG_PAL | AV_PIX_FMT_FLAG_BE |
                                   AV_PIX_FMT_FLAG_HWACCEL | AV_PIX_FMT_FLAG_BITSTREAM |
                                   AV_PIX_FMT_FLAG_FLOAT;
  const AVComponentDescriptor& luma = descriptor.comp[0];
  return (descriptor.flags & kOther) == 0 && luma.plane == 0 && luma.offset == 0 &&
         luma.shift == 0 && luma.step == (luma.depth > 8 ? 2 : 1) && luma.depth <= 16;
}

bool is_rgb(const AVPixFmtDescriptor& descriptor) {
  return (descriptor.flags & (AV_PIX_FMT_FLAG_RGB | AV_PIX_FMT_FLAG_PAL)) != 0;
}

bool is_full_range_format(int format) {
  return format == AV_PIX_FMT_YUVJ420P || format == AV_PIX_FMT_YUVJ422P ||
         format == AV_PIX_FMT_YUVJ444P || format == AV_PIX_FMT_YUVJ440P ||
         format == AV_PIX_FMT_YUVJ411P;
}

bool is_grey(const AVPixFmtDescriptor& descriptor) {
  return descriptor.nb_components <= 2;
}

}  // namespace

Coding coding_of(const AVFrame& frame) {
  const AVPixFmtDescriptor& descriptor = descriptor_of(frame);
  Coding coding;
  coding.transfer = frame.color_trc;
  coding.matrix = frame.colorspace;
  coding.range_stated = frame.color_range != AVCOL_RANGE_UNSPECIFIED;
  if (has_plain_luma_plane(descriptor)) {
    coding.bit_depth = descriptor.comp[0].depth;
    coding.full_range = frame.color_range == AVCOL_RANGE_JPEG ||
                        is_full_range_format(frame.format) ||
                        (is_grey(descriptor) && !coding.range_stated);
    return coding;
  }
  coding.bit_depth = descriptor.comp[0].depth > 8 ? 16 : 8;
  coding.full_range = true;
  if (is_rgb(descriptor) && coding.transfer == AVCOL_TRC_UNSPECIFIED) {
    coding.transfer = AVCOL_TRC_IEC61966_2_1;
  }
  return coding;
}

FrameHandle LumaExtractor::with_luma(FrameHandle frame) {
  return has_plain_luma_plane(descriptor_of(*frame)) ? std::move(frame) : converted(*frame);
}

LumaPlane luma_of(const AVFrame& frame) {
  return {frame.data[0], frame.linesize[0], frame.width, frame.height,
          descriptor_of(frame).comp[0].depth};
}

std::uint64_t print_of(const LumaPlane& luma) {
  // FNV-1a, 64 bits
  std::uint64_t print = 14695981039346656037U;
  const int bytes = luma.width * (luma.bit_depth > 8 ? 2 : 1);
  for (int y = 0; y < luma.height; ++y) {
    const std::uint8_t* row = luma.data + y * luma.stride;
    for (int x = 0; x < bytes; ++x) {
      print = (print ^ row[x]) * 1099511628211U;
    }
  }
  return print;
}

FrameHandle LumaExtractor::converted(const AVFrame& frame) {
  const bool deep = descriptor_of(frame).comp[0].depth > 8;
  const AVPixelFormat format = deep ? AV_PIX_FMT_GRAY16LE : AV_PIX_FMT_GRAY8;
  FrameHandle grey(av_frame_alloc());
  grey->width = frame.width;
  grey->height = frame.height;
  grey->format = format;
  if (av_frame_get_buffer(grey.get(), 0) < 0) {
    throw Error("out of memory for a picture of the video");
  }
  scaler_.reset(sws_getCachedContext(scaler_.release(), frame.width, frame.height,
                                     static_cast<AVPixelFormat>(frame.format), frame.width,
                                     frame.height, format, SWS_POINT, nullptr, nullptr, nullptr));
  if (!scaler_) {
    throw Error("the pixel format of the video cannot be turned into grey");
  }
  const int* coefficients = sws_getCoefficients(SWS_CS_ITU709);
  constexpr int kUnity = 1 << 16;
  sws_setColorspaceDetails(scaler_.get(), coefficients, 1, coefficients, 1, 0, kUnity, kUnity);
  sws_scale(scaler_.get(), frame.data, frame.linesize, 0, frame.height, grey->data, grey->linesize);
  return grey;
}

}  // namespace thumblight::recording
