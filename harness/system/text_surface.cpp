#include "harness/system/text_surface.hpp"

#include "harness/pages/font.hpp"
#include "harness/session/error.hpp"

namespace thumblight::harness {

void draw_text(SDL_Surface& surface, const TextLine& line, int origin_x, int origin_y) {
  const auto level = static_cast<Uint8>(line.level);
  const Uint32 grey = SDL_MapRGB(surface.format, level, level, level);
  int left = origin_x;
  for (const char character : line.text) {
    for (int row = 0; row < kGlyphHeight; ++row) {
      for (int column = 0; column < kGlyphWidth; ++column) {
        if (has_dot(character, column, row)) {
          const SDL_Rect dot = {left + column * line.scale, origin_y + row * line.scale, line.scale,
                                line.scale};
          SDL_FillRect(&surface, &dot, grey);
        }
      }
    }
    left += kAdvance * line.scale;
  }
}

Surface text_surface(const TextLine& line) {
  const Rect place = bounds(line);
  Surface surface(SDL_CreateRGBSurfaceWithFormat(0, std::max(place.w, 1), std::max(place.h, 1), 32,
                                                 SDL_PIXELFORMAT_ARGB8888));
  if (!surface) {
    throw Error(std::string("a line of text cannot be drawn: ") + SDL_GetError());
  }
  SDL_FillRect(surface.get(), nullptr, SDL_MapRGB(surface->format, 0, 0, 0));
  draw_text(*surface, line, 0, 0);
  return surface;
}

}  // namespace thumblight::harness
