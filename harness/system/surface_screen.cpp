#include <SDL.h>

#include <string>

#include "harness/session/error.hpp"
#include "harness/system/sdl_window.hpp"
#include "harness/system/text_surface.hpp"

namespace thumblight::harness {
namespace {

/// A texture between the pixels and the window costs milliseconds. Where the video driver has
/// pixels of its own, SDL is kept from it; Wayland and the bare console have none.
void prefer_own_pixels() {
  const std::string driver = SDL_GetCurrentVideoDriver();
  if (driver != "wayland" && driver != "KMSDRM") {
    SDL_SetHint(SDL_HINT_FRAMEBUFFER_ACCELERATION, "0");
  }
}

class SurfaceScreen : public SdlScreen {
 public:
  SurfaceScreen(SdlWindow& window, Clock& clock) : window_(window), clock_(clock) {}

  Size size() const override { return {pixels().w, pixels().h}; }

  void set_page(const Page& page) override {
    page_ = page;
    whole_ = true;
  }

  FrameTimes show(std::optional<int> patch_level) override {
    SDL_Surface& surface = pixels();
    const bool whole = whole_ || patch_level.has_value() != had_patch_;
    if (whole) {
      draw_page(surface);
    }
    const SDL_Rect place = {patch().x, patch().y, patch().w, patch().h};
    if (patch_level) {
      fill(surface, patch(), *patch_level);
    }
    whole_ = false;
    had_patch_ = patch_level.has_value();
    FrameTimes times;
    times.submit_ns = clock_.now_ns();
    if (whole) {
      SDL_UpdateWindowSurface(window_.get());
    } else if (patch_level) {
      SDL_UpdateWindowSurfaceRects(window_.get(), &place, 1);
    }
    times.present_ns = clock_.now_ns();
    return times;
  }

  void describe(session::Display& display) const override {
    display.renderer = "surface";
    display.vsync = false;
  }

 private:
  SDL_Surface& pixels() const {
    SDL_Surface* surface = SDL_GetWindowSurface(window_.get());
    if (surface == nullptr) {
      throw Error(std::string("the window's pixels cannot be had: ") + SDL_GetError());
    }
    return *surface;
  }

  static void fill(SDL_Surface& surface, const Rect& rect, int level) {
    const auto grey = static_cast<Uint8>(level);
    const SDL_Rect place = {rect.x, rect.y, rect.w, rect.h};
    SDL_FillRect(&surface, &place, SDL_MapRGB(surface.format, grey, grey, grey));
  }

  void draw_page(SDL_Surface& surface) {
    SDL_FillRect(&surface, nullptr, SDL_MapRGB(surface.format, 0, 0, 0));
    for (const Box& box : page_.boxes) {
      fill(surface, box.place, box.level);
    }
    for (const TextLine& line : page_.lines) {
      draw_text(surface, line, line.x, line.y);
    }
  }

  SdlWindow& window_;
  Clock& clock_;
  Page page_;
  bool whole_ = true;
  bool had_patch_ = false;
};

}  // namespace

std::unique_ptr<SdlScreen> make_surface_screen(SdlWindow& window, Clock& clock) {
  prefer_own_pixels();
  return std::make_unique<SurfaceScreen>(window, clock);
}

}  // namespace thumblight::harness
