#include <catch2/catch.hpp>
#include <vector>

#include "analysis/review/frame_view.hpp"
#include "analysis/review/layout.hpp"
#include "analysis/review/press_list.hpp"
#include "analysis/review/region_drag.hpp"
#include "analysis/review/time_view.hpp"

using namespace thumblight;
using namespace thumblight::review;

namespace {

bool overlap(const Box& a, const Box& b) {
  return a.x < b.right() && b.x < a.right() && a.y < b.bottom() && b.y < a.bottom();
}

}  // namespace

TEST_CASE("the parts of the window overlap at no size, and lie within it") {
  const std::vector<Point> sizes = {{640, 360},  {640, 480},   {800, 1280},  {1280, 720},
                                    {1280, 800}, {1920, 1080}, {1080, 1920}, {3840, 2160}};
  for (const Point& size : sizes) {
    INFO(size.x << " x " << size.y);
    const Layout layout = layout_for(size.x, size.y);
    CHECK(layout.text >= 12);
    const std::vector<Box> parts = {layout.title,   layout.frame,       layout.presses,
                                    layout.details, layout.press_trace, layout.light_trace,
                                    layout.times,   layout.overview,    layout.hints};
    for (std::size_t k = 0; k < parts.size(); ++k) {
      CHECK(parts[k].w > 20);
      CHECK(parts[k].h > 5);
      CHECK(parts[k].x >= 0);
      CHECK(parts[k].right() <= size.x);
      CHECK(parts[k].bottom() <= size.y);
      for (std::size_t i = 0; i < k; ++i) {
        CHECK_FALSE(overlap(parts[k], parts[i]));
      }
    }
    const PageLayout page = page_layout(layout, size.x, size.y, 28);
    CHECK(page.page.bottom() <= size.y);
    CHECK(page.lines.bottom() <= page.page.bottom() + 1);
  }
  CHECK(layout_for(1280, 720).text == 18);
  CHECK(layout_for(1920, 1080).text == 27);
}

TEST_CASE("places in the window and in the picture belong to each other, however close") {
  FrameView view;
  view.set_picture(640, 360);
  view.set_window({10, 20, 960, 400});
  CHECK(view.scale() == Approx(400.0 / 360));
  const Point held = {300, 200};
  const Point before = view.to_picture(held);
  view.zoom(6, held);
  CHECK(view.scale() == 7);  // whole pixels
  CHECK(view.to_picture(held).x == Approx(before.x));
  CHECK(view.to_picture(held).y == Approx(before.y));
  const Point there = view.to_window(view.to_picture({500, 300}));
  CHECK(there.x == Approx(500));
  view.pan(1e6, 1e6);
  CHECK(view.to_picture({10, 20}).x == Approx(0).margin(1e-9));
  CHECK(view.to_picture({10, 20}).y == Approx(0).margin(1e-9));
  view.zoom(1e9);
  CHECK(view.scale() == 64);
  view.fit();
  CHECK(view.to_window(Point{320, 180}).x == Approx(490));
}

TEST_CASE("a picture that was stored turned is shown upright") {
  // Turned clockwise by 90 degrees, the upper left corner is what was the lower left.
  CHECK(stored_corners(90)[0].x == 0);
  CHECK(stored_corners(90)[0].y == 1);
  CHECK(stored_corners(180)[0].x == 1);
  CHECK(stored_corners(180)[0].y == 1);
  CHECK(stored_corners(270)[0].x == 1);
  CHECK(stored_corners(270)[0].y == 0);
  CHECK(stored_corners(0)[2].x == 1);
}

TEST_CASE("regions stay within the picture and never vanish") {
  const onset::Region region = {10, 10, 20, 20};
  const onset::Region moved = dragged(region, {}, -50, 1000, 100, 80);
  CHECK(moved.x == 0);
  CHECK(moved.y == 60);
  CHECK(moved.w == 20);
  const onset::Region narrowed = dragged(region, {true, false, false, false}, 500, 7, 100, 80);
  CHECK(narrowed.x == 28);
  CHECK(narrowed.w == 2);
  CHECK(narrowed.y == 10);
  const onset::Region drawn = spanned({90.4, 70}, {200, -5}, 100, 80);
  CHECK(drawn.x == 90);
  CHECK(drawn.w == 10);
  CHECK(drawn.h == 70);
  CHECK(grip_at({10, 10, 20, 20}, {31, 20}, 3)->right);
  CHECK_FALSE(grip_at({10, 10, 20, 20}, {20, 20}, 3)->right);
  CHECK_FALSE(grip_at({10, 10, 20, 20}, {40, 20}, 3));
}

TEST_CASE("the time that is seen follows the frame and stays within the recording") {
  TimeView view;
  view.set_recording(0, 60, 1.0 / 240);
  view.centre_on(30);
  CHECK(view.from_s() == Approx(29.75));
  view.follow(30.1);
  CHECK(view.from_s() == Approx(29.75));
  view.follow(30.3);
  CHECK(view.from_s() < 30.3);
  CHECK(view.to_s() > 30.3);
  view.stretch(1000, 30.3);
  CHECK(view.span_s() == Approx(60));
  view.stretch(1e-9, 60);
  CHECK(view.span_s() == Approx(12.0 / 240));
  CHECK(view.to_s() <= 60);
  const Box box = {100, 0, 500, 10};
  CHECK(view.to_time_s(view.to_x(59.99, box), box) == Approx(59.99));
  CHECK(axis_step(0.5, 5) == Approx(0.1));
  CHECK(axis_step(0.55, 5) == Approx(0.2));
  CHECK(axis_step(60, 8) == Approx(10));
}

TEST_CASE("the list shows the row that is looked at, and one on either side") {
  PressList list;
  const Layout layout = layout_for(1280, 720);
  list.set(layout, 500);
  const std::size_t seen = list.end();
  CHECK(seen < 30);
  list.follow(250);
  CHECK(list.first() <= 249);
  CHECK(list.end() > 251);
  CHECK(list.row_at({list.box_of(250).x + 5, list.box_of(250).y + 5}) == 250U);
  list.scroll(1000);
  CHECK(list.end() == 500);
  CHECK(list.bar()->bottom() == Approx(list.box_of(499).bottom()).epsilon(0.01));
  list.set(layout, 3);
  CHECK(list.first() == 0);
  CHECK_FALSE(list.bar());
}
