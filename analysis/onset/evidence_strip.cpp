#include "analysis/onset/evidence_strip.hpp"

#include <algorithm>
#include <cstddef>
#include <cstdio>
#include <string>

namespace thumblight::onset {
namespace {

using recording::Colour;
using recording::Picture;

constexpr Colour kPatchColour{255, 210, 60};
constexpr Colour kPressColour{90, 220, 255};
constexpr Colour kLampColour{150, 255, 120};
constexpr Colour kWhite{240, 240, 240};
constexpr Colour kBack{24, 24, 28};

std::string milliseconds(double time_s) {
  std::string text(32, '\0');
  const int length = std::snprintf(text.data(), text.size(), "%+.1f ms", 1e3 * time_s);
  text.resize(static_cast<std::size_t>(std::max(length, 0)));
  return text;
}

struct Box {
  int x = 0;
  int y = 0;
  int w = 0;
  int h = 0;
};

/// A region of the upright film as pixels of the upright copy, with a margin around it.
Box box_of(const Region& region, int step, const GreyCopy& copy) {
  const double margin = 0.35 * std::max(region.w, region.h) + 2 * step;
  Box box;
  box.x = std::clamp(static_cast<int>((region.x - margin) / step), 0, copy.width() - 1);
  box.y = std::clamp(static_cast<int>((region.y - margin) / step), 0, copy.height() - 1);
  const int right = static_cast<int>((region.x + region.w + margin) / step) + 1;
  const int bottom = static_cast<int>((region.y + region.h + margin) / step) + 1;
  box.w = std::clamp(right, box.x + 1, copy.width()) - box.x;
  box.h = std::clamp(bottom, box.y + 1, copy.height()) - box.y;
  return box;
}

/// A part of a copy, enlarged to a height that can be looked at.
Picture tile(const GreyCopy& copy, const Box& box) {
  constexpr int kTile_px = 120;
  Picture part(box.w, box.h);
  for (int y = 0; y < box.h; ++y) {
    for (int x = 0; x < box.w; ++x) {
      const std::uint8_t grey = copy.at(box.x + x, box.y + y);
      part.set(x, y, {grey, grey, grey});
    }
  }
  return part.enlarged(std::max(1, kTile_px / std::max(part.width(), part.height())));
}

void outline(Picture& picture, const std::optional<Region>& region, double scale, Colour colour,
             const char* name) {
  if (!region) {
    return;
  }
  const int x = static_cast<int>(region->x / scale);
  const int y = static_cast<int>(region->y / scale);
  const int w = std::max(3, static_cast<int>(region->w / scale));
  const int h = std::max(3, static_cast<int>(region->h / scale));
  picture.outline(x - 2, y - 2, w + 4, h + 4, 2, colour);
  write_text(picture, x, std::max(0, y - 16), 2, name, colour);
}

/// The frames worth showing: around the press, around the light, and a few between.
std::vector<std::int64_t> frames_to_show(const PressTiming& press) {
  std::vector<std::int64_t> frames;
  const auto around = [&frames](const std::optional<Instant>& instant) {
    for (std::int64_t by = -2; instant && instant->frame && by <= 3; ++by) {
      frames.push_back(*instant->frame + by);
    }
  };
  around(press.press);
  around(press.light);
  std::sort(frames.begin(), frames.end());
  frames.erase(std::unique(frames.begin(), frames.end()), frames.end());
  return frames;
}

/// What one frame shows of the button and of the patch, and when.
struct Column {
  Picture press;
  Picture patch;
  std::string stamp;

  int width() const {
    return std::max({press.width(), patch.width(), recording::text_width(stamp, 2)});
  }
};

std::vector<Column> columns_of(const Film& film, const PressTiming& press, const CameraInfo& camera,
                               int step, const CopyOf& copy_of) {
  const double zero_s = press.press ? press.press->t_s : press.light->t_s;
  std::vector<Column> columns;
  for (const std::int64_t frame : frames_to_show(press)) {
    const GreyCopy copy = copy_of(frame);
    if (copy.empty() || frame < 0 || frame >= film.frames()) {
      continue;
    }
    Column column;
    column.stamp = milliseconds(film.clock.time_s[static_cast<std::size_t>(frame)] - zero_s);
    column.patch = tile(copy, box_of(*camera.patch, step, copy));
    if (camera.press) {
      column.press = tile(copy, box_of(*camera.press, step, copy));
    }
    columns.push_back(std::move(column));
  }
  return columns;
}

}  // namespace

Picture press_strip(const Film& film, const PressTiming& press, const CameraInfo& camera, int step,
                    const CopyOf& copy_of) {
  const std::vector<Column> columns = columns_of(film, press, camera, step, copy_of);
  if (columns.empty()) {
    return {};
  }
  constexpr int kGap_px = 4;
  constexpr int kText_px = 16;
  int width = kGap_px;
  int upper = 0;
  int lower = 0;
  for (const Column& column : columns) {
    width += column.width() + kGap_px;
    upper = std::max(upper, column.press.height());
    lower = std::max(lower, column.patch.height());
  }
  Picture strip(width, upper + lower + kText_px + 3 * kGap_px);
  strip.fill(0, 0, strip.width(), strip.height(), kBack);
  int x = kGap_px;
  for (const Column& column : columns) {
    write_text(strip, x, kGap_px, 2, column.stamp, kWhite);
    strip.place(column.press, x, kText_px + kGap_px);
    strip.place(column.patch, x, kText_px + upper + 2 * kGap_px);
    x += column.width() + kGap_px;
  }
  return strip;
}

Picture region_map(const GreyCopy& copy, const CameraInfo& camera, int step,
                   const char* patch_name) {
  Picture map(copy.width(), copy.height());
  for (int y = 0; y < copy.height(); ++y) {
    for (int x = 0; x < copy.width(); ++x) {
      const std::uint8_t grey = copy.at(x, y);
      map.set(x, y, {grey, grey, grey});
    }
  }
  outline(map, camera.patch, step, kPatchColour, patch_name);
  outline(map, camera.press, step, kPressColour, "press");
  outline(map, camera.lamp, step, kLampColour, "host lamp");
  return map;
}

}  // namespace thumblight::onset
