#pragma once

#include <SDL.h>

#include <memory>
#include <optional>

#include "harness/run/clock.hpp"
#include "harness/run/screen.hpp"
#include "harness/session/records.hpp"

namespace thumblight::harness {

/// SDL's library while it is in use. Throws `Error` where a part of it cannot be started.
class SdlLibrary {
 public:
  explicit SdlLibrary(Uint32 parts);
  ~SdlLibrary();
  SdlLibrary(const SdlLibrary&) = delete;
  SdlLibrary& operator=(const SdlLibrary&) = delete;
};

enum class RendererKind { kAny, kHardware, kSoftware };

struct WindowSettings {
  int display = 0;
  std::optional<Size> window;  ///< a window of this size; empty: the full screen
  std::optional<Size> mode;    ///< full screen in this mode; empty: in the desktop's
  int mode_hz = 0;             ///< of the mode; 0: any
  RendererKind renderer = RendererKind::kAny;
  std::optional<bool> vsync;  ///< empty: on wherever the renderer can wait for the refresh
};

/// The window, without a screen in it yet.
class SdlWindow {
 public:
  explicit SdlWindow(const WindowSettings& settings);
  ~SdlWindow();
  SdlWindow(const SdlWindow&) = delete;
  SdlWindow& operator=(const SdlWindow&) = delete;

  SDL_Window* get() const { return window_; }

 private:
  SDL_Window* window_ = nullptr;
};

/// A screen that draws into the window, with the patch at `patch()`.
class SdlScreen : public Screen {
 public:
  void set_patch(const Rect& patch) { patch_ = patch; }
  const Rect& patch() const { return patch_; }

  /// The renderer's name and whether presenting waits for the refresh.
  virtual void describe(session::Display& display) const = 0;

 private:
  Rect patch_;
};

/// Through SDL's accelerated renderer; empty where there is none.
std::unique_ptr<SdlScreen> make_renderer_screen(SdlWindow& window, Clock& clock, bool vsync);

/// Through the window's own pixels; only what changes is sent to the display.
std::unique_ptr<SdlScreen> make_surface_screen(SdlWindow& window, Clock& clock);

/// The screen that the settings ask for. Throws `Error` where the machine has none such.
std::unique_ptr<SdlScreen> make_screen(SdlWindow& window, Clock& clock,
                                       const WindowSettings& settings);

/// Everything about the display and mode that SDL tells.
session::Display describe_display(const SdlWindow& window, const SdlScreen& screen);

/// The displays, their modes, and the controllers that are plugged in, as lines of text.
std::string list_of_hardware();

}  // namespace thumblight::harness
