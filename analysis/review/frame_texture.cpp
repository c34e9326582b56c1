#include "analysis/review/frame_texture.hpp"

#include <string>

#include "harness/session/error.hpp"

extern "C" {
#include <libavutil/frame.h>
}

namespace thumblight::review {

void FrameTexture::show(const recording::DecodedFrame& frame, SDL_Renderer* renderer) {
  if (frame == shown_) {
    return;
  }
  converter_.convert(*frame, pixels_);
  if (!texture_ || width_ != pixels_.width || height_ != pixels_.height) {
    width_ = pixels_.width;
    height_ = pixels_.height;
    texture_.reset(SDL_CreateTexture(renderer, SDL_PIXELFORMAT_RGBA32, SDL_TEXTUREACCESS_STREAMING,
                                     width_, height_));
  }
  if (!texture_ || SDL_UpdateTexture(texture_.get(), nullptr, pixels_.bytes.data(), 4 * width_)) {
    throw Error("a picture of " + std::to_string(pixels_.width) + " x " +
                std::to_string(pixels_.height) + " cannot be shown here: " + SDL_GetError());
  }
  SDL_SetTextureBlendMode(texture_.get(), SDL_BLENDMODE_NONE);
  shown_ = frame;
}

void FrameTexture::set_sharp(bool sharp) {
  if (texture_) {
    SDL_SetTextureScaleMode(texture_.get(), sharp ? SDL_ScaleModeNearest : SDL_ScaleModeLinear);
  }
}

}  // namespace thumblight::review
