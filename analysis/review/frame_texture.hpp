#pragma once

#include <cstdint>
#include <optional>

#include "analysis/recording/colour_pixels.hpp"
#include "analysis/recording/frame_cache.hpp"
#include "analysis/review/canvas_output.hpp"

namespace thumblight::review {

/// The frame on the screen, as SDL's renderer draws it.
class FrameTexture {
 public:
  /// Throws `Error` where the picture is too large for the renderer.
  void show(const recording::DecodedFrame& frame, SDL_Renderer* renderer);
  /// Sharp to the pixel, or, where pixels are smaller than those of the window, smooth.
  void set_sharp(bool sharp);
  void forget() { shown_.reset(); }
  void drop() {
    texture_.reset();
    shown_.reset();
  }

  bool has_picture() const { return shown_ != nullptr; }
  SDL_Texture* get() const { return texture_.get(); }

 private:
  recording::ColourConverter converter_;
  recording::ColourPixels pixels_;
  recording::DecodedFrame shown_;
  Texture texture_;
  int width_ = 0;
  int height_ = 0;
};

}  // namespace thumblight::review
