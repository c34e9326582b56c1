#include <algorithm>

#include "analysis/review/draw.hpp"

namespace thumblight::review {
namespace {

/// A word on a ground that keeps it readable over any picture.
void draw_tag(Canvas& canvas, Point corner, const std::string& words, Shade shade) {
  const double text = canvas.text_size();
  const Box box = {corner.x, corner.y, canvas.text_width(words) + text * 0.7, text * 1.3};
  canvas.fill(box, kBack.faint(215), text * 0.15);
  canvas.text({box.x + text * 0.35, box.y, box.w, box.h}, words, shade);
}

/// Where a tag of a region goes: above it or below it, and inside what is seen.
Point tag_corner(const Box& region, const Box& window, double height, bool above) {
  const double wanted = above ? region.y - height : region.bottom();
  return {std::clamp(region.x, window.x, window.right() - height * 4),
          std::clamp(wanted, window.y, window.bottom() - height)};
}

void draw_handles(Canvas& canvas, const Box& box, double text, Shade shade) {
  const double half = text * 0.22;
  for (const double x : {box.x, box.x + box.w / 2, box.right()}) {
    for (const double y : {box.y, box.y + box.h / 2, box.bottom()}) {
      if (x != box.x + box.w / 2 || y != box.y + box.h / 2) {
        canvas.fill({x - half, y - half, 2 * half, 2 * half}, shade);
      }
    }
  }
}

void draw_region(Canvas& canvas, const Layout& layout, const Review& review, RegionKind kind) {
  const std::optional<onset::Region> region = review.region(kind);
  if (!region) {
    return;
  }
  const bool is_press = kind == RegionKind::kPress;
  const Shade shade = is_press ? kPressShade : kLightShade;
  const bool held =
      review.region_kind() == kind && (review.mode() == Mode::kRegions || review.holds_region());
  const Box box = review.frame_view().to_window(*region);
  const double thick = std::max(2.0, layout.text / 9);
  canvas.outline({box.x - thick, box.y - thick, box.w + 2 * thick, box.h + 2 * thick}, kBlack,
                 thick);
  canvas.outline(box, shade, held ? 1.6 * thick : thick);
  if (held) {
    draw_handles(canvas, box, layout.text, shade);
  }
  const bool seen = box.right() > layout.frame.x && box.x < layout.frame.right() &&
                    box.bottom() > layout.frame.y && box.y < layout.frame.bottom();
  if (!seen) {
    return;
  }
  const double strip = layout.text * 1.3 + 2 * layout.gap;  // below it lies what the frame is
  const Box room = {layout.frame.x, layout.frame.y, layout.frame.w, layout.frame.h - strip};
  draw_tag(canvas, tag_corner(box, room, layout.text * 1.3, is_press), is_press ? "press" : "light",
           shade);
}

/// Along the lower edge of the frame.
Point strip_corner(const Layout& layout, double x) {
  return {layout.frame.x + layout.gap + x, layout.frame.bottom() - layout.text * 1.3 - layout.gap};
}

/// Says that the frame is the one of the press or of its light.
void draw_instants(Canvas& canvas, const Layout& layout, const Review& review) {
  if (!review.row()) {
    return;
  }
  const PressView view = review.view(*review.row());
  double x = 0;
  const auto tell = [&](const std::optional<SeenInstant>& instant, const char* what, Shade shade) {
    if (!instant || instant->frame != review.frame()) {
      return;
    }
    const std::string words = std::string(what) + (instant->by_hand ? ", by hand" : "");
    draw_tag(canvas, strip_corner(layout, x), words, shade);
    x += canvas.text_width(words) + 2 * layout.text;
  };
  tell(view.press, "this is the frame of the press", kPressShade);
  tell(view.light, "this is the frame of the light", kLightShade);
}

}  // namespace

void draw_frame(Canvas& canvas, const Layout& layout, const Review& review, void* texture,
                bool is_current) {
  canvas.fill(layout.frame, kBlack);
  canvas.clip(layout.frame);
  const FrameView& view = review.frame_view();
  const ReviewedFrames& film = review.session().film;
  if (texture != nullptr) {
    canvas.picture(texture,
                   view.to_window(onset::Region{0, 0, film.upright_width(), film.upright_height()}),
                   stored_corners(film.index.info.rotation_deg));
  }
  draw_region(canvas, layout, review, RegionKind::kPress);
  draw_region(canvas, layout, review, RegionKind::kLight);
  if (is_current) {
    draw_instants(canvas, layout, review);
  } else {
    draw_tag(canvas, strip_corner(layout, 0), "this frame is being decoded", kDoubt);
  }
  canvas.unclip();
}

}  // namespace thumblight::review
