#include "analysis/recording/colour_pixels.hpp"

#include <array>

#include "analysis/recording/luma_plane.hpp"
#include "harness/session/error.hpp"

extern "C" {
#include <libavutil/frame.h>
#include <libswscale/swscale.h>
}

namespace thumblight::recording {
namespace {

/// ITU-R BT.709 where the file does not say otherwise and the picture is of high definition, else
/// BT.601: common practice, no source.
const int* coefficients_of(const AVFrame& frame) {
  constexpr int kHighDefinitionRows = 720;
  if (frame.colorspace != AVCOL_SPC_UNSPECIFIED) {
    return sws_getCoefficients(frame.colorspace);
  }
  return sws_getCoefficients(frame.height < kHighDefinitionRows ? SWS_CS_ITU601 : SWS_CS_ITU709);
}

}  // namespace

void ColourConverter::convert(const AVFrame& frame, ColourPixels& pixels) {
  scaler_.reset(sws_getCachedContext(
      scaler_.release(), frame.width, frame.height, static_cast<AVPixelFormat>(frame.format),
      frame.width, frame.height, AV_PIX_FMT_RGBA, SWS_POINT, nullptr, nullptr, nullptr));
  if (!scaler_) {
    throw Error("the pixel format of the video cannot be shown");
  }
  constexpr int kUnity = 1 << 16;
  sws_setColorspaceDetails(scaler_.get(), coefficients_of(frame),
                           coding_of(frame).full_range ? 1 : 0, sws_getCoefficients(SWS_CS_DEFAULT),
                           1, 0, kUnity, kUnity);
  pixels.width = frame.width;
  pixels.height = frame.height;
  const std::size_t row_bytes = static_cast<std::size_t>(frame.width) * 4;
  pixels.bytes.resize(row_bytes * static_cast<std::size_t>(frame.height));
  const std::array<std::uint8_t*, 4> planes = {pixels.bytes.data(), nullptr, nullptr, nullptr};
  const std::array<int, 4> strides = {static_cast<int>(row_bytes), 0, 0, 0};
  sws_scale(scaler_.get(), frame.data, frame.linesize, 0, frame.height, planes.data(),
            strides.data());
}

}  // namespace thumblight::recording
