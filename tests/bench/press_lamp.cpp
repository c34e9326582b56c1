#include "tests/bench/press_lamp.hpp"

namespace thumblight::bench {

PressLamp::PressLamp(Display* display, const WindowPlace& place)
    : display_(display), place_(place) {
  XSetWindowAttributes attributes{};
  attributes.event_mask = ExposureMask;
  attributes.background_pixel = BlackPixel(display, 0);
  window_ = XCreateWindow(display, DefaultRootWindow(display), place.x, place.y,
                          static_cast<unsigned>(place.width), static_cast<unsigned>(place.height),
                          0, CopyFromParent, InputOutput, CopyFromParent, CWEventMask | CWBackPixel,
                          &attributes);
  context_ = XCreateGC(display, window_, 0, nullptr);
  XMapRaised(display, window_);
  XEvent event;
  XWindowEvent(display, window_, ExposureMask, &event);
}

PressLamp::~PressLamp() {
  XFreeGC(display_, context_);
  XDestroyWindow(display_, window_);
}

void PressLamp::switch_to(bool bright) {
  XSetForeground(display_, context_, bright ? WhitePixel(display_, 0) : BlackPixel(display_, 0));
  XFillRectangle(display_, window_, context_, 0, 0, static_cast<unsigned>(place_.width),
                 static_cast<unsigned>(place_.height));
}

}  // namespace thumblight::bench
