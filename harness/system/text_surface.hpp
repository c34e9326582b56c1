#pragma once

#include <SDL.h>

#include <memory>

#include "harness/pages/page.hpp"

namespace thumblight::harness {

struct SurfaceDeleter {
  void operator()(SDL_Surface* surface) const { SDL_FreeSurface(surface); }
};
using Surface = std::unique_ptr<SDL_Surface, SurfaceDeleter>;

/// Draws the line in grey onto the surface at `origin`; what is outside it is cut.
void draw_text(SDL_Surface& surface, const TextLine& line, int origin_x, int origin_y);

/// A surface of the line's own size, black behind the text. Throws `Error` if there is no memory.
Surface text_surface(const TextLine& line);

}  // namespace thumblight::harness
