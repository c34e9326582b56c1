#include "tests/bench/top_window.hpp"

#include <vector>

namespace thumblight::bench {
namespace {

/// The children of the root, from the lowest to the uppermost.
std::vector<Window> windows_on_root(Display* display) {
  Window root = None;
  Window parent = None;
  Window* children = nullptr;
  unsigned int count = 0;
  if (XQueryTree(display, DefaultRootWindow(display), &root, &parent, &children, &count) == 0) {
    return {};
  }
  std::vector<Window> result(children, children + count);
  if (children != nullptr) {
    XFree(children);
  }
  return result;
}

}  // namespace

std::optional<TopWindow> find_top_window(Display* display) {
  const std::vector<Window> windows = windows_on_root(display);
  for (auto window = windows.rbegin(); window != windows.rend(); ++window) {
    XWindowAttributes attributes{};
    if (XGetWindowAttributes(display, *window, &attributes) != 0 &&
        attributes.map_state == IsViewable && attributes.c_class == InputOutput) {
      const int border = attributes.border_width;
      return TopWindow{
          *window,
          {attributes.x + border, attributes.y + border, attributes.width, attributes.height}};
    }
  }
  return {};
}

bool focus(Display* display, const TopWindow& window) {
  XSetInputFocus(display, window.id, RevertToPointerRoot, CurrentTime);
  Window focused = None;
  int revert = 0;
  XGetInputFocus(display, &focused, &revert);
  return focused == window.id;
}

}  // namespace thumblight::bench
