#include "analysis/onset/evidence.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>

#include "harness/session/error.hpp"

namespace thumblight::onset {
namespace {

using recording::Colour;
using recording::Picture;

constexpr Colour kPatchColour{255, 210, 60};
constexpr Colour kPressColour{90, 220, 255};
constexpr Colour kLampColour{150, 255, 120};
constexpr Colour kWhite{240, 240, 240};
constexpr Colour kBack{24, 24, 28};

constexpr std::int64_t kBefore = 4;  ///< frames kept before a jump ...
constexpr std::int64_t kAfter = 6;   ///< ... and after it
constexpr std::int64_t kThin = 4;    ///< further back, one frame in so many
constexpr double kMostDisk = 2e9;    ///< bytes; later presses get no pictures beyond it

/// Pixels of the film for one of the copy: as sharp as a temporary file of a moderate size allows.
int reduction(const recording::VideoInfo& info) {
  constexpr double kWished_px = 640;
  constexpr double kLeast_px = 320;
  constexpr double kDisk = 6e8;
  const double longest = std::max(info.width, info.height);
  const double area = static_cast<double>(info.width) * info.height;
  const double rate = info.capture_hz.value_or(info.marked_hz.value_or(240));
  const double seconds = info.expected_frames.value_or(4800) / std::max(rate, 1.0);
  const double frames = std::max(1.0, 2 * seconds) * 26;  // two jumps a second
  const double by_disk = std::sqrt(area * frames / kDisk);
  const double least = longest / kWished_px;
  const double most = std::max(1.0, longest / kLeast_px);
  return static_cast<int>(
      std::ceil(std::clamp(by_disk, std::max(least, 1.0), std::max(most, least)) - 1e-9));
}

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
Box box_of(const Region& region, int step, const Picture& copy) {
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

Picture crop(const Picture& from, const Box& box) {
  Picture part(box.w, box.h);
  for (int y = 0; y < box.h; ++y) {
    for (int x = 0; x < box.w; ++x) {
      part.set(x, y, from.at(box.x + x, box.y + y));
    }
  }
  return part;
}

/// A crop enlarged to a height that can be looked at.
Picture tile(const Picture& from, const Box& box) {
  constexpr int kTile_px = 120;
  const Picture part = crop(from, box);
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

}  // namespace

EvidenceKeeper::EvidenceKeeper(const recording::FrameSource& source) : file_(std::tmpfile()) {
  const recording::VideoInfo& info = source.info();
  step_ = reduction(info);
  width_ = (info.width + step_ - 1) / step_;
  height_ = (info.height + step_ - 1) / step_;
  shift_ = std::max(0, info.coding.bit_depth - 8);
  rotation_deg_ = info.rotation_deg;
  constexpr double kMemory = 24e6;
  constexpr double kBack_s = 0.25;
  const double rate = info.capture_hz.value_or(info.marked_hz.value_or(240));
  const double by_memory = kMemory / (static_cast<double>(width_) * height_);
  most_held_ =
      static_cast<std::size_t>(std::clamp(kBack_s * rate, 12.0, std::max(12.0, by_memory)));
}

EvidenceKeeper::Small EvidenceKeeper::reduce(std::int64_t frame, const recording::LumaPlane& luma) {
  Small small{frame, std::move(spare_)};
  spare_.clear();
  small.pixels.resize(static_cast<std::size_t>(width_) * static_cast<std::size_t>(height_));
  std::uint8_t* out = small.pixels.data();
  for (int y = 0; y < luma.height; y += step_) {
    const std::uint8_t* row = luma.data + y * luma.stride;
    if (luma.bit_depth > 8) {
      const auto* deep = reinterpret_cast<const std::uint16_t*>(row);
      for (int x = 0; x < luma.width; x += step_) {
        *out++ = static_cast<std::uint8_t>(deep[x] >> shift_);
      }
    } else {
      for (int x = 0; x < luma.width; x += step_) {
        *out++ = row[x];
      }
    }
  }
  return small;
}

bool EvidenceKeeper::is_jump(const std::vector<float>& cells) {
  constexpr std::size_t kApart = 3;
  constexpr float kJump = 0.08F;
  bool jump = false;
  if (recent_.size() == kApart) {
    const std::vector<float>& before = recent_.front();
    for (std::size_t i = 0; i < cells.size() && !jump; ++i) {
      jump = cells[i] - before[i] > kJump;
    }
    recent_.push_back(std::move(recent_.front()));
    recent_.pop_front();
    recent_.back() = cells;
  } else {
    recent_.push_back(cells);
  }
  return jump;
}

void EvidenceKeeper::keep(const Small& small) {
  const double size = static_cast<double>(small.pixels.size());
  if (!file_ || place_of_.count(small.frame) != 0 ||
      static_cast<double>(kept_) * size > kMostDisk) {
    return;
  }
  if (std::fwrite(small.pixels.data(), 1, small.pixels.size(), file_.get()) !=
      small.pixels.size()) {
    file_.reset();  // no room: the instants matter more than their pictures
    place_of_.clear();
    return;
  }
  place_of_[small.frame] = kept_++;
}

void EvidenceKeeper::forget_old() {
  while (held_.size() > most_held_) {
    spare_ = std::move(held_.front().pixels);
    held_.pop_front();
  }
}

void EvidenceKeeper::see(std::int64_t frame, const recording::LumaPlane& luma,
                         const std::vector<float>& cells) {
  held_.push_back(reduce(frame, luma));
  if (frame == 0) {
    keep(held_.back());
  }
  if (is_jump(cells)) {
    for (const Small& small : held_) {
      if (frame - small.frame <= kBefore || small.frame % kThin == 0) {
        keep(small);
      }
    }
    keep_until_ = frame + kAfter;
  } else if (frame <= keep_until_) {
    keep(held_.back());
  }
  forget_old();
}

Picture EvidenceKeeper::picture_of(std::int64_t frame) {
  const auto place = place_of_.find(frame);
  if (place == place_of_.end() || !file_) {
    return {};
  }
  std::vector<std::uint8_t> pixels(static_cast<std::size_t>(width_) *
                                   static_cast<std::size_t>(height_));
  const auto offset = static_cast<off_t>(place->second) * static_cast<off_t>(pixels.size());
  if (fseeko(file_.get(), offset, SEEK_SET) != 0 ||
      std::fread(pixels.data(), 1, pixels.size(), file_.get()) != pixels.size()) {
    return {};
  }
  Picture picture(width_, height_);
  for (int y = 0; y < height_; ++y) {
    for (int x = 0; x < width_; ++x) {
      const std::uint8_t grey = pixels[static_cast<std::size_t>(y * width_ + x)];
      picture.set(x, y, {grey, grey, grey});
    }
  }
  return picture.turned(rotation_deg_);
}

Picture EvidenceKeeper::strip(const Film& film, const PressTiming& press,
                              const CameraInfo& camera) {
  struct Column {
    Picture press;
    Picture patch;
    std::string stamp;
  };
  const double zero_s = press.press ? press.press->t_s : press.light->t_s;
  std::vector<Column> columns;
  for (const std::int64_t frame : frames_to_show(press)) {
    const Picture whole = picture_of(frame);
    if (whole.width() == 0 || frame < 0 || frame >= film.frames()) {
      continue;
    }
    Column column;
    column.stamp = milliseconds(film.clock.time_s[static_cast<std::size_t>(frame)] - zero_s);
    column.patch = tile(whole, box_of(*camera.patch, step_, whole));
    if (camera.press) {
      column.press = tile(whole, box_of(*camera.press, step_, whole));
    }
    columns.push_back(std::move(column));
  }
  if (columns.empty()) {
    return {};
  }
  constexpr int kGap_px = 4;
  constexpr int kText_px = 16;
  int width = kGap_px;
  int upper = 0;
  int lower = 0;
  const auto wide = [](const Column& column) {
    return std::max(
        {column.press.width(), column.patch.width(), recording::text_width(column.stamp, 2)});
  };
  for (const Column& column : columns) {
    width += wide(column) + kGap_px;
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
    x += wide(column) + kGap_px;
  }
  return strip;
}

void EvidenceKeeper::write(const Film& film, const Timings& timings,
                           const std::filesystem::path& folder) {
  const CameraInfo& camera = *timings.recording.camera;
  Picture still;
  for (const PressTiming& press : timings.presses) {
    if (still.width() == 0 && press.light && press.light->frame) {
      still = picture_of(*press.light->frame + 2);
    }
  }
  still = still.width() == 0 ? picture_of(0) : still;
  if (!camera.patch || still.width() == 0) {
    return;
  }
  outline(still, camera.patch, step_, kPatchColour, "patch");
  outline(still, camera.press, step_, kPressColour, "press");
  outline(still, camera.lamp, step_, kLampColour, "host lamp");
  write_picture(still, folder / "regions.png");
  std::error_code fault;
  std::filesystem::create_directories(folder / "evidence", fault);
  if (fault) {
    throw Error((folder / "evidence").string() + ": the folder cannot be made (" + fault.message() +
                ")");
  }
  for (const PressTiming& press : timings.presses) {
    const Picture picture = strip(film, press, camera);
    if (picture.width() > 0) {
      std::string name = std::to_string(press.index);
      name.insert(0, name.size() < 3 ? 3 - name.size() : 0, '0');
      write_picture(picture, folder / "evidence" / ("press-" + name + ".jpg"));
    }
  }
}

}  // namespace thumblight::onset
