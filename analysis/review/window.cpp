#include "analysis/review/window.hpp"

#include <SDL.h>
#include <imgui.h>

#include <algorithm>
#include <memory>
#include <string>

#include "analysis/review/browsing.hpp"
#include "analysis/review/canvas_output.hpp"
#include "analysis/review/chords.hpp"
#include "analysis/review/draw.hpp"
#include "analysis/review/frame_texture.hpp"
#include "analysis/review/typeface.hpp"
#include "analysis/review/words.hpp"
#include "harness/session/error.hpp"

namespace thumblight::review {
namespace {

constexpr int kNextLook_ms = 15;  ///< between two looks for news of decoding

struct CloseWindow {
  void operator()(SDL_Window* window) const { SDL_DestroyWindow(window); }
  void operator()(SDL_Renderer* renderer) const { SDL_DestroyRenderer(renderer); }
};

/// SDL's parts, from start to end.
class SdlParts {
 public:
  SdlParts() {
    SDL_SetHint(SDL_HINT_RENDER_SCALE_QUALITY, "0");
    if (SDL_Init(SDL_INIT_VIDEO | SDL_INIT_GAMECONTROLLER) != 0 || is_unseen()) {
      SDL_Quit();
      throw Error(
          "review: there is no display here on which its window could open; start it from a "
          "desktop, or set DISPLAY or WAYLAND_DISPLAY");
    }
    SDL_StopTextInput();
  }
  ~SdlParts() { SDL_Quit(); }
  SdlParts(const SdlParts&) = delete;
  SdlParts& operator=(const SdlParts&) = delete;

 private:
  /// SDL falls back on drivers that show nothing.
  static bool is_unseen() {
    const std::string driver = SDL_GetCurrentVideoDriver();
    return SDL_getenv("SDL_VIDEODRIVER") == nullptr && (driver == "offscreen" || driver == "dummy");
  }
};

/// Dear ImGui, of which the window uses letters and triangles.
class ImGuiParts {
 public:
  ImGuiParts() {
    ImGui::CreateContext();
    ImGui::GetIO().IniFilename = nullptr;
    ImGui::GetIO().BackendFlags |= ImGuiBackendFlags_RendererHasVtxOffset;
    ImGui::GetStyle().AntiAliasedLinesUseTex = false;
  }
  ~ImGuiParts() { ImGui::DestroyContext(); }
  ImGuiParts(const ImGuiParts&) = delete;
  ImGuiParts& operator=(const ImGuiParts&) = delete;
};

/// No larger than the desktop leaves room for.
SDL_Rect first_size() {
  SDL_Rect room = {0, 0, 1280, 720};
  SDL_GetDisplayUsableBounds(0, &room);
  return {SDL_WINDOWPOS_CENTERED, SDL_WINDOWPOS_CENTERED, std::min(room.w, 1920),
          std::min(room.h, 1080)};
}

enum class Held { kNothing, kRegion, kPicture, kTime, kOverview };

class Window {
 public:
  explicit Window(Review& review) : review_(review) {
    const SDL_Rect size = first_size();
    window_.reset(SDL_CreateWindow(window_name(review).c_str(), size.x, size.y, size.w, size.h,
                                   SDL_WINDOW_RESIZABLE));
    renderer_.reset(window_ ? SDL_CreateRenderer(window_.get(), -1, 0) : nullptr);
    if (!renderer_) {
      throw Error(std::string("review: its window does not open: ") + SDL_GetError());
    }
    SDL_SetWindowMinimumSize(window_.get(), 640, 360);
    measure();
  }

  void run() {
    bool stale = true;
    Uint32 last_ms = SDL_GetTicks();
    while (!review_.has_ended()) {
      stale = take_events() || stale;
      const Uint32 now_ms = SDL_GetTicks();
      stale = review_.is_playing() || stale;
      review_.pass_time((now_ms - last_ms) / 1e3);
      last_ms = now_ms;
      browsing_.follow(review_);
      stale = has_news() || stale;
      if (stale && !review_.has_ended()) {
        draw();
        stale = false;
      }
    }
  }

 private:
  void measure();
  bool take_events();
  void take(const SDL_Event& event);
  void take_chord(const Chord& chord);
  void take_button(const SDL_MouseButtonEvent& event);
  void take_motion(const SDL_MouseMotionEvent& event);
  void take_wheel(const SDL_MouseWheelEvent& event);
  void click_page(Point point);
  void go_to_time(double t_s);
  void go_to_overview(double x);
  bool has_news();
  void draw();

  Review& review_;
  Browsing browsing_;
  std::unique_ptr<SDL_Window, CloseWindow> window_;
  std::unique_ptr<SDL_Renderer, CloseWindow> renderer_;
  Texture letters_;
  Typeface typeface_;
  FrameTexture picture_;
  ChordReader chords_;
  Layout layout_;
  PageLayout page_;
  PressList list_;
  Held held_ = Held::kNothing;
  Point mouse_;
  bool was_current_ = false;
  std::int64_t drawn_read_ = 0;
  std::size_t drawn_session_ = 0;
  std::optional<std::size_t> listed_row_;
};

void Window::measure() {
  int width = 0;
  int height = 0;
  SDL_GetRendererOutputSize(renderer_.get(), &width, &height);
  layout_ = layout_for(width, height);
  ImGui::GetIO().DisplaySize = {static_cast<float>(width), static_cast<float>(height)};
  if (typeface_.size != layout_.text || !letters_) {
    typeface_ = load_typeface(layout_.text);
    letters_ = make_letters(renderer_.get());
  }
  review_.frame_view().set_window(layout_.frame);
}

bool Window::take_events() {
  SDL_Event event;
  bool any = SDL_WaitEventTimeout(&event, kNextLook_ms) != 0;
  if (any) {
    do {
      take(event);
    } while (SDL_PollEvent(&event) != 0);
  }
  for (const Chord& chord : chords_.held(SDL_GetTicks())) {
    take_chord(chord);
    any = true;
  }
  if (chords_.was_let_go()) {
    review_.let_go();
  }
  return any;
}

void Window::take(const SDL_Event& event) {
  for (const Chord& chord : chords_.take(event)) {
    take_chord(chord);
  }
  switch (event.type) {
    case SDL_QUIT:
      review_.act(Action::kQuit);
      return;
    case SDL_WINDOWEVENT:
      measure();
      return;
    case SDL_RENDER_DEVICE_RESET:
    case SDL_RENDER_TARGETS_RESET:
      letters_.reset();
      picture_.drop();
      measure();
      return;
    case SDL_TEXTINPUT:
      review_.type(event.text.text);
      return;
    case SDL_MOUSEBUTTONDOWN:
    case SDL_MOUSEBUTTONUP:
      take_button(event.button);
      return;
    case SDL_MOUSEMOTION:
      take_motion(event.motion);
      return;
    case SDL_MOUSEWHEEL:
      take_wheel(event.wheel);
      return;
    default:
      return;
  }
}

bool marks_a_frame(std::optional<Action> action) {
  return action == Action::kMarkPress || action == Action::kMarkLight ||
         action == Action::kAddPress;
}

/// A mark says what a person has seen: none is made in a frame that is not there yet.
void Window::take_chord(const Chord& chord) {
  const Mode mode = review_.mode();
  const std::string& name = action_of(mode, chord.name) ? chord.name : chord.other;
  browsing_.follow(review_);
  if (marks_a_frame(action_of(mode, name)) && !browsing_.frame(review_)) {
    review_.tell("this frame is still being decoded: look at it, and press the key again");
    return;
  }
  try {
    review_.press(name, chord.again);
  } catch (const Error& error) {
    review_.tell(std::string("not saved: ") + error.what());
  }
  if (mode != review_.mode()) {
    (review_.mode() == Mode::kReasons ? SDL_StartTextInput : SDL_StopTextInput)();
  }
}

void Window::click_page(Point point) {
  if (const auto line = page_line_at(page_, review_, point)) {
    review_.choose(*line);
  } else if (!page_.page.holds(point)) {
    review_.act(Action::kClose);
  }
  if (review_.mode() != Mode::kReasons) {
    SDL_StopTextInput();
  }
}

void Window::go_to_time(double t_s) {
  review_.show_frame(review_.session().film.frame_at(t_s));
}

void Window::go_to_overview(double x) {
  const TimeView& times = review_.time_view();
  const double share = (x - layout_.overview.x) / layout_.overview.w;
  go_to_time(times.recording_from_s() +
             share * (times.recording_to_s() - times.recording_from_s()));
}

void Window::take_button(const SDL_MouseButtonEvent& event) {
  const Point point = {static_cast<double>(event.x), static_cast<double>(event.y)};
  mouse_ = point;
  if (event.type == SDL_MOUSEBUTTONUP) {
    if (held_ == Held::kRegion) {
      try {
        review_.drop_region();
      } catch (const Error& error) {
        review_.tell(std::string("not saved: ") + error.what());
      }
    }
    held_ = Held::kNothing;
    return;
  }
  if (review_.mode() == Mode::kHelp || review_.mode() == Mode::kReasons) {
    click_page(point);
  } else if (layout_.frame.holds(point)) {
    const bool left = event.button == SDL_BUTTON_LEFT;
    held_ = left && review_.take_region(point, layout_.text * 0.5) ? Held::kRegion : Held::kPicture;
  } else if (const auto row = list_.row_at(point)) {
    review_.show_row(*row);
  } else if (layout_.press_trace.holds(point) || layout_.light_trace.holds(point) ||
             layout_.times.holds(point)) {
    held_ = Held::kTime;
    go_to_time(review_.time_view().to_time_s(point.x, layout_.press_trace));
  } else if (layout_.overview.holds(point)) {
    held_ = Held::kOverview;
    go_to_overview(point.x);
  }
}

void Window::take_motion(const SDL_MouseMotionEvent& event) {
  const Point point = {static_cast<double>(event.x), static_cast<double>(event.y)};
  if (held_ == Held::kRegion) {
    review_.move_region(point);
  } else if (held_ == Held::kPicture) {
    review_.frame_view().pan(point.x - mouse_.x, point.y - mouse_.y);
  } else if (held_ == Held::kTime) {
    go_to_time(review_.time_view().to_time_s(point.x, layout_.press_trace));
  } else if (held_ == Held::kOverview) {
    go_to_overview(point.x);
  }
  mouse_ = point;
}

void Window::take_wheel(const SDL_MouseWheelEvent& event) {
  const int turns = event.y;
  const double closer = turns > 0 ? 1.25 : 0.8;
  if (turns == 0) {
    return;
  }
  if (layout_.frame.holds(mouse_)) {
    review_.frame_view().zoom(closer, mouse_);
  } else if (layout_.presses.holds(mouse_)) {
    list_.scroll(-3 * turns);
  } else {
    review_.time_view().stretch(1 / closer, review_.frame_s());
  }
}

bool Window::has_news() {
  const bool current = browsing_.frame(review_) != nullptr;
  constexpr std::int64_t kManyFrames = 60;
  const std::int64_t read = browsing_.read();
  const std::int64_t all = review_.session().film.frames();
  const bool more = read != drawn_read_ && (read - drawn_read_ >= kManyFrames || read == all);
  return current != was_current_ || more;
}

void Window::draw() {
  if (drawn_session_ != review_.session_index()) {
    drawn_session_ = review_.session_index();
    picture_.forget();
  }
  const recording::DecodedFrame frame = browsing_.frame(review_);
  if (frame) {
    picture_.show(frame, renderer_.get());
  }
  was_current_ = frame != nullptr;
  drawn_read_ = browsing_.read();
  picture_.set_sharp(review_.frame_view().scale() >= 1);
  list_.set(layout_, review_.rows().size());
  if (listed_row_ != review_.row() && review_.row()) {
    list_.follow(*review_.row());
  }
  listed_row_ = review_.row();
  ImGui::NewFrame();
  Canvas canvas(*ImGui::GetBackgroundDrawList(), typeface_);
  draw_frame(canvas, layout_, review_, picture_.has_picture() ? picture_.get() : nullptr,
             was_current_);
  draw_traces(canvas, layout_, review_, browsing_.traces(review_));
  draw_presses(canvas, review_, list_);
  draw_details(canvas, layout_, review_);
  draw_bars(canvas, layout_, review_);
  if (review_.mode() == Mode::kHelp || review_.mode() == Mode::kReasons) {
    const ImVec2 size = ImGui::GetIO().DisplaySize;
    page_ = page_layout(layout_, size.x, size.y, height_of_page(review_));
    draw_page(canvas, page_, review_);
  }
  ImGui::Render();
  SDL_SetRenderDrawColor(renderer_.get(), kBack.r, kBack.g, kBack.b, 255);
  SDL_RenderClear(renderer_.get());
  put_out(*ImGui::GetDrawData(), renderer_.get());
  SDL_RenderPresent(renderer_.get());
}

}  // namespace

void require_display() {
  const SdlParts sdl;
}

void run_window(Review& review) {
  const SdlParts sdl;
  const ImGuiParts imgui;
  Window(review).run();
}

}  // namespace thumblight::review
