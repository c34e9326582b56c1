#include "analysis/review/canvas_output.hpp"

#include <imgui.h>

#include <cstddef>
#include <string>

#include "harness/session/error.hpp"

namespace thumblight::review {
namespace {

SDL_Rect clip_of(const ImDrawCmd& command) {
  const int x = static_cast<int>(command.ClipRect.x);
  const int y = static_cast<int>(command.ClipRect.y);
  return {x, y, static_cast<int>(command.ClipRect.z) - x, static_cast<int>(command.ClipRect.w) - y};
}

template <typename Member>
const Member* member_at(const ImDrawVert* vertices, std::size_t offset) {
  return reinterpret_cast<const Member*>(reinterpret_cast<const std::byte*>(vertices) + offset);
}

void put_out(const ImDrawCmd& command, const ImDrawList& list, SDL_Renderer* renderer) {
  const SDL_Rect clip = clip_of(command);
  if (clip.w <= 0 || clip.h <= 0) {
    return;
  }
  SDL_RenderSetClipRect(renderer, &clip);
  const ImDrawVert* vertices = list.VtxBuffer.Data + command.VtxOffset;
  constexpr int kStride = sizeof(ImDrawVert);
  SDL_RenderGeometryRaw(renderer, static_cast<SDL_Texture*>(command.GetTexID()),
                        member_at<float>(vertices, offsetof(ImDrawVert, pos)), kStride,
                        member_at<SDL_Color>(vertices, offsetof(ImDrawVert, col)), kStride,
                        member_at<float>(vertices, offsetof(ImDrawVert, uv)), kStride,
                        list.VtxBuffer.Size - static_cast<int>(command.VtxOffset),
                        list.IdxBuffer.Data + command.IdxOffset,
                        static_cast<int>(command.ElemCount), sizeof(ImDrawIdx));
}

}  // namespace

Texture make_letters(SDL_Renderer* renderer) {
  unsigned char* pixels = nullptr;
  int width = 0;
  int height = 0;
  ImFontAtlas& atlas = *ImGui::GetIO().Fonts;
  atlas.GetTexDataAsRGBA32(&pixels, &width, &height);
  Texture texture(
      SDL_CreateTexture(renderer, SDL_PIXELFORMAT_RGBA32, SDL_TEXTUREACCESS_STATIC, width, height));
  if (!texture || SDL_UpdateTexture(texture.get(), nullptr, pixels, 4 * width) != 0) {
    throw Error(std::string("the window's letters cannot be drawn: ") + SDL_GetError());
  }
  SDL_SetTextureBlendMode(texture.get(), SDL_BLENDMODE_BLEND);
  SDL_SetTextureScaleMode(texture.get(), SDL_ScaleModeLinear);
  atlas.SetTexID(texture.get());
  return texture;
}

void put_out(const ImDrawData& data, SDL_Renderer* renderer) {
  for (int k = 0; k < data.CmdListsCount; ++k) {
    const ImDrawList& list = *data.CmdLists[k];
    for (const ImDrawCmd& command : list.CmdBuffer) {
      put_out(command, list, renderer);
    }
  }
  SDL_RenderSetClipRect(renderer, nullptr);
}

}  // namespace thumblight::review
