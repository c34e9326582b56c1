#include "harness/system/sdl_window.hpp"

#include <string>

#include "harness/session/error.hpp"

namespace thumblight::harness {
namespace {

[[noreturn]] void fail(const std::string& what) {
  throw Error(what + ": " + SDL_GetError());
}

/// To be set before SDL starts.
void set_hints() {
  SDL_SetHint(SDL_HINT_TOUCH_MOUSE_EVENTS, "0");  // a touch is not a mouse button as well
  SDL_SetHint(SDL_HINT_MOUSE_TOUCH_EVENTS, "0");
  SDL_SetHint(SDL_HINT_JOYSTICK_ALLOW_BACKGROUND_EVENTS, "1");
  SDL_SetHint(SDL_HINT_VIDEO_MINIMIZE_ON_FOCUS_LOSS, "0");
}

/// SDL falls back on drivers that show nothing; then a person would wait for a page unseen.
void refuse_unseen_driver() {
  const std::string driver = SDL_GetCurrentVideoDriver();
  const bool asked_for = SDL_getenv("SDL_VIDEODRIVER") != nullptr;
  if (!asked_for && (driver == "offscreen" || driver == "dummy")) {
    throw Error(
        "there is no display here; start it from a desktop or a console, or set DISPLAY or "
        "WAYLAND_DISPLAY");
  }
}

/// A quarter of a window larger than the display could be more than a quarter of what is seen.
void refuse_larger_than_display(const WindowSettings& settings) {
  SDL_Rect bounds;
  if (settings.window && SDL_GetDisplayBounds(settings.display, &bounds) == 0 &&
      (settings.window->w > bounds.w || settings.window->h > bounds.h)) {
    throw Error("--window " + std::to_string(settings.window->w) + "x" +
                std::to_string(settings.window->h) + ": larger than the display, which has " +
                std::to_string(bounds.w) + "x" + std::to_string(bounds.h) +
                "; name a smaller size, or leave it out for the full screen");
  }
}

void set_mode(SDL_Window* window, const WindowSettings& settings) {
  SDL_DisplayMode wanted = {0, settings.mode->w, settings.mode->h, settings.mode_hz, nullptr};
  SDL_DisplayMode found;
  const std::string name = std::to_string(wanted.w) + "x" + std::to_string(wanted.h) +
                           (settings.mode_hz > 0 ? "@" + std::to_string(settings.mode_hz) : "");
  if (SDL_GetClosestDisplayMode(settings.display, &wanted, &found) == nullptr ||
      found.w != wanted.w || found.h != wanted.h ||
      (settings.mode_hz > 0 && found.refresh_rate != settings.mode_hz)) {
    throw Error("--mode " + name + ": display " + std::to_string(settings.display) +
                " has no such mode; --list shows those it has");
  }
  if (SDL_SetWindowDisplayMode(window, &found) != 0 ||
      SDL_SetWindowFullscreen(window, SDL_WINDOW_FULLSCREEN) != 0) {
    fail("--mode " + name + " cannot be set");
  }
}

}  // namespace

SdlLibrary::SdlLibrary(Uint32 parts) {
  set_hints();
  if (SDL_Init(parts) != 0) {
    fail("the display cannot be opened");
  }
  if ((parts & SDL_INIT_VIDEO) != 0U) {
    refuse_unseen_driver();
  }
  SDL_StopTextInput();  // no on-screen keyboard, no input method between key and event
}

SdlLibrary::~SdlLibrary() {
  SDL_Quit();
}

SdlWindow::SdlWindow(const WindowSettings& settings) {
  const int displays = SDL_GetNumVideoDisplays();
  if (settings.display < 0 || settings.display >= displays) {
    throw Error("--display " + std::to_string(settings.display) +
                ": no such display; they are numbered from 0, and --list shows them");
  }
  refuse_larger_than_display(settings);
  const int place = static_cast<int>(SDL_WINDOWPOS_CENTERED_DISPLAY(settings.display));
  // Where no window manager does it, nobody enlarges the window: it must be made full size.
  SDL_Rect whole = {0, 0, 640, 480};
  SDL_GetDisplayBounds(settings.display, &whole);
  const Size size = settings.window.value_or(Size{whole.w, whole.h});
  Uint32 flags = SDL_WINDOW_SHOWN;
  if (!settings.window) {
    flags |= SDL_WINDOW_FULLSCREEN_DESKTOP;
  }
  window_ = SDL_CreateWindow("Thumblight", place, place, size.w, size.h, flags);
  if (window_ == nullptr) {
    fail("no window can be opened");
  }
  if (!settings.window && settings.mode) {
    set_mode(window_, settings);
  }
  SDL_ShowCursor(SDL_DISABLE);
  SDL_RaiseWindow(window_);
}

SdlWindow::~SdlWindow() {
  SDL_DestroyWindow(window_);
}

std::unique_ptr<SdlScreen> make_screen(SdlWindow& window, Clock& clock,
                                       const WindowSettings& settings) {
  if (settings.renderer == RendererKind::kSoftware) {
    if (settings.vsync.value_or(false)) {
      throw Error(
          "--renderer software with --vsync on: the software renderer cannot wait for the "
          "refresh; say --vsync off or --renderer hardware");
    }
    return make_surface_screen(window, clock);
  }
  auto screen = make_renderer_screen(window, clock, settings.vsync.value_or(true));
  if (!screen && (settings.renderer == RendererKind::kHardware || settings.vsync.value_or(false))) {
    fail("there is no hardware renderer here; say --renderer software --vsync off");
  }
  return screen ? std::move(screen) : make_surface_screen(window, clock);
}

session::Display describe_display(const SdlWindow& window, const SdlScreen& screen) {
  session::Display display;
  display.index = SDL_GetWindowDisplayIndex(window.get());
  if (const char* name = SDL_GetDisplayName(display.index)) {
    display.name = name;
  }
  display.width = screen.size().w;
  display.height = screen.size().h;
  SDL_DisplayMode mode;
  if (SDL_GetCurrentDisplayMode(display.index, &mode) == 0) {
    display.mode_width = mode.w;
    display.mode_height = mode.h;
    if (mode.refresh_rate > 0) {
      display.refresh_hz = mode.refresh_rate;
    }
  }
  display.fullscreen = (SDL_GetWindowFlags(window.get()) & SDL_WINDOW_FULLSCREEN) != 0;
  screen.describe(display);
  return display;
}

std::string list_of_hardware() {
  std::string text;
  for (int d = 0; d < SDL_GetNumVideoDisplays(); ++d) {
    const char* name = SDL_GetDisplayName(d);
    text += "display " + std::to_string(d) + ": " + (name == nullptr ? "" : name) + "\n";
    for (int m = 0; m < SDL_GetNumDisplayModes(d); ++m) {
      SDL_DisplayMode mode;
      if (SDL_GetDisplayMode(d, m, &mode) == 0) {
        text += "  mode " + std::to_string(mode.w) + "x" + std::to_string(mode.h) +
                (mode.refresh_rate > 0 ? "@" + std::to_string(mode.refresh_rate) : "") + "\n";
      }
    }
  }
  for (int j = 0; j < SDL_NumJoysticks(); ++j) {
    const char* name = SDL_JoystickNameForIndex(j);
    text += "controller " + std::to_string(j) + ": " + (name == nullptr ? "" : name) + "\n";
  }
  return text.empty() ? "no display and no controller is connected\n" : text;
}

}  // namespace thumblight::harness
