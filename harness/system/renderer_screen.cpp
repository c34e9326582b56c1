#include <SDL.h>

#include <utility>
#include <vector>

#include "harness/session/error.hpp"
#include "harness/system/sdl_window.hpp"
#include "harness/system/text_surface.hpp"

namespace thumblight::harness {
namespace {

struct RendererDeleter {
  void operator()(SDL_Renderer* renderer) const { SDL_DestroyRenderer(renderer); }
};
struct TextureDeleter {
  void operator()(SDL_Texture* texture) const { SDL_DestroyTexture(texture); }
};
using Renderer = std::unique_ptr<SDL_Renderer, RendererDeleter>;
using Texture = std::unique_ptr<SDL_Texture, TextureDeleter>;

SDL_Rect sdl(const Rect& r) {
  return {r.x, r.y, r.w, r.h};
}

class RendererScreen : public SdlScreen {
 public:
  RendererScreen(Renderer renderer, Clock& clock) : clock_(clock), renderer_(std::move(renderer)) {}

  Size size() const override {
    Size size;
    SDL_GetRendererOutputSize(renderer_.get(), &size.w, &size.h);
    return size;
  }

  void set_page(const Page& page) override {
    boxes_ = page.boxes;
    std::vector<Sprite> sprites;
    for (const TextLine& line : page.lines) {
      sprites.push_back(sprite(line));
    }
    sprites_ = std::move(sprites);
  }

  FrameTimes show(std::optional<int> patch_level) override {
    SDL_SetRenderDrawColor(renderer_.get(), 0, 0, 0, 255);
    SDL_RenderClear(renderer_.get());
    for (const Box& box : boxes_) {
      fill(box.place, box.level);
    }
    for (const Sprite& sprite : sprites_) {
      const SDL_Rect place = sdl(bounds(sprite.line));
      SDL_RenderCopy(renderer_.get(), sprite.texture.get(), nullptr, &place);
    }
    if (patch_level) {
      fill(patch(), *patch_level);
    }
    SDL_RenderFlush(renderer_.get());
    FrameTimes times;
    times.submit_ns = clock_.now_ns();
    SDL_RenderPresent(renderer_.get());
    times.present_ns = clock_.now_ns();
    return times;
  }

  void describe(session::Display& display) const override {
    SDL_RendererInfo info;
    if (SDL_GetRendererInfo(renderer_.get(), &info) == 0) {
      display.renderer = info.name;
      display.vsync = (info.flags & SDL_RENDERER_PRESENTVSYNC) != 0;
    }
  }

 private:
  struct Sprite {
    TextLine line;
    Texture texture;
  };

  void fill(const Rect& place, int level) {
    const auto grey = static_cast<Uint8>(level);
    SDL_SetRenderDrawColor(renderer_.get(), grey, grey, grey, 255);
    const SDL_Rect rect = sdl(place);
    SDL_RenderFillRect(renderer_.get(), &rect);
  }

  /// Lines that stay from page to page keep their texture: uploading one may cost a frame.
  Sprite sprite(const TextLine& line) {
    for (Sprite& former : sprites_) {
      if (former.texture && former.line == line) {
        return std::move(former);
      }
    }
    const Surface surface = text_surface(line);
    return {line, Texture(SDL_CreateTextureFromSurface(renderer_.get(), surface.get()))};
  }

  Clock& clock_;
  Renderer renderer_;
  std::vector<Box> boxes_;
  std::vector<Sprite> sprites_;
};

}  // namespace

std::unique_ptr<SdlScreen> make_renderer_screen(SdlWindow& window, Clock& clock, bool vsync) {
  Uint32 flags = SDL_RENDERER_ACCELERATED;
  if (vsync) {
    flags |= SDL_RENDERER_PRESENTVSYNC;
  }
  Renderer renderer(SDL_CreateRenderer(window.get(), -1, flags));
  return renderer ? std::make_unique<RendererScreen>(std::move(renderer), clock) : nullptr;
}

}  // namespace thumblight::harness
