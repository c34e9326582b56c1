#pragma once

#include <SDL.h>

#include <memory>

struct ImDrawData;

namespace thumblight::review {

struct DestroyTexture {
  void operator()(SDL_Texture* texture) const { SDL_DestroyTexture(texture); }
};
using Texture = std::unique_ptr<SDL_Texture, DestroyTexture>;

/// Makes a texture of the letters in Dear ImGui's atlas. Throws `Error`.
Texture make_letters(SDL_Renderer* renderer);

/// Draws Dear ImGui's triangles with SDL's renderer, whichever that is.
void put_out(const ImDrawData& data, SDL_Renderer* renderer);

}  // namespace thumblight::review
