#include "analysis/rehearsal/painter.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace thumblight::rehearsal {

namespace {

constexpr double kPi = std::numbers::pi;
constexpr std::size_t kNoiseCount = std::size_t{1} << 18U;
constexpr int kFingerSteps = 5;  ///< within an exposure, for the blur of its motion

bool varies_all_over(const Settings& settings) {
  const SceneSettings& scene = settings.scene;
  return settings.camera.read_noise > 0.0 || settings.camera.full_well > 0.0 ||
         scene.flicker > 0.0 || scene.shake > 0.0 || scene.auto_exposure > 0.0 || scene.spill > 0.0;
}

/// Share of each pixel from 0 to `count` that lies between two edges.
std::vector<float> cover(double from, double to, int count) {
  std::vector<float> shares(static_cast<std::size_t>(count));
  for (int k = 0; k < count; ++k) {
    const double inside = std::min(to, k + 1.0) - std::max<double>(from, k);
    shares[static_cast<std::size_t>(k)] = static_cast<float>(std::clamp(inside, 0.0, 1.0));
  }
  return shares;
}

bool same(const RowLight& a, const RowLight& b) {
  return a.backlight == b.backlight && a.drive == b.drive;
}

}  // namespace

Painter::Painter(const Truth& truth)
    : settings_(truth.settings),
      clocks_(truth.clocks),
      orientation_(truth.settings.camera),
      scene_(truth.settings),
      panel_(make_panel(truth)),
      finger_(truth.presses),
      coder_(truth.settings.camera),
      random_(truth.settings.seed, Stream::kPicture),
      flicker_phase_(random_.uniform(0.0, 2.0 * kPi)),
      all_varies_(varies_all_over(truth.settings)),
      margin_(2 + static_cast<int>(
                      std::ceil(truth.settings.scene.shake * truth.settings.camera.height))) {
  for (double& phase : shake_phases_) {
    phase = random_.uniform(0.0, 2.0 * kPi);
  }
  planes_.width = orientation_.stored_width();
  planes_.height = orientation_.stored_height();
  const auto pixels = static_cast<std::size_t>(planes_.width) * planes_.height;
  planes_.luma.resize(pixels);
  line_.resize(static_cast<std::size_t>(planes_.width));
  states_.resize(static_cast<std::size_t>(planes_.height));
  if (settings_.camera.read_noise > 0.0 || settings_.camera.full_well > 0.0) {
    noise_.resize(kNoiseCount);
    std::generate(noise_.begin(), noise_.end(),
                  [this] { return static_cast<float>(random_.normal()); });
  }
  if (const auto& lamp = scene_.regions().lamp) {
    button_lamps_.push_back(
        make_lamp(*lamp, contact_switchings(truth), settings_.lamp.rise_s, settings_.lamp.level));
  }
  if (const auto& lamp = scene_.regions().host_lamp) {
    host_lamps_.push_back(make_lamp(*lamp, host_lamp_switchings(truth), settings_.lamp.rise_s,
                                    settings_.lamp.host_level));
  }
  if (settings_.game.kind != GameKind::kNone) {
    game_.emplace(truth, stored_regions().screen, planes_.width, planes_.height);
  }
  lay_base();
  lay_tint();
  move_areas(View{});
  for (int row = 0; row < planes_.height; ++row) {
    const Window before{-1.0, -0.999};
    RowState state = row_state(row, before);
    paint_span(row, {0, planes_.width}, before, state);
    states_[static_cast<std::size_t>(row)] = state;
  }
}

Regions Painter::stored_regions() const {
  return rehearsal::stored_regions(scene_.regions(), orientation_);
}

Painter::Area Painter::make_area(const Region& region, Point shift) const {
  const double left = region.x + shift.x;
  const double top = region.y + shift.y;
  const auto bound = [](double value, int most) {
    return static_cast<int>(std::clamp<double>(value, 0.0, most));
  };
  Area area;
  area.left = bound(std::floor(left), planes_.width);
  area.right = bound(std::ceil(left + region.w), planes_.width);
  area.top = bound(std::floor(top), planes_.height);
  area.bottom = bound(std::ceil(top + region.h), planes_.height);
  area.columns = cover(left, left + region.w, planes_.width);
  area.rows = cover(top, top + region.h, planes_.height);
  return area;
}

Painter::Lamp Painter::make_lamp(const Region& region, std::vector<Switching> switchings,
                                 double rise_s, double level) const {
  return {make_area(orientation_.stored(region), {}),
          {},
          SwitchedLight(std::move(switchings), rise_s),
          level};
}

void Painter::lay_base() {
  const int width = planes_.width + 2 * margin_;
  const int height = planes_.height + 2 * margin_;
  base_.reserve(static_cast<std::size_t>(width) * height);
  for (int row = 0; row < height; ++row) {
    for (int column = 0; column < width; ++column) {
      const Point point{column - margin_ + 0.5, row - margin_ + 0.5};
      base_.push_back(static_cast<float>(scene_.reflectance(orientation_.upright(point))));
    }
  }
}

void Painter::lay_tint() {
  const auto code = [this](double signal) {
    return static_cast<std::uint16_t>(
        std::lround(coder_.neutral_chroma() + coder_.chroma_scale() * signal));
  };
  for (int row = 0; row < planes_.height; row += 2) {
    for (int column = 0; column < planes_.width; column += 2) {
      const Tint tint = scene_.tint(orientation_.upright(Point{column + 1.0, row + 1.0}));
      planes_.cb.push_back(code(tint.cb));
      planes_.cr.push_back(code(tint.cr));
    }
  }
}

Window Painter::exposure(const CameraFrame& frame, int row) const {
  const CameraSettings& camera = settings_.camera;
  const double share = (row + 0.5) / planes_.height;
  const double way = camera.row_order == RowOrder::kTopFirst ? share : 1.0 - share;
  const double start_s = frame.start_s + camera.readout_s * way;
  const double length_s = camera.exposure_share / camera.nominal_hz;
  return {clocks_.bench_s(start_s), clocks_.bench_s(start_s + length_s)};
}

Painter::View Painter::view(const CameraFrame& frame) const {
  const double t = 2.0 * kPi * frame.start_s;
  const SceneSettings& scene = settings_.scene;
  const double height = settings_.camera.height;
  const auto wave = [&](double hz, std::size_t phase) {
    return std::sin(t * hz + shake_phases_[phase]);
  };
  View view;
  const double shake = scene.shake * height;
  view.shift = {shake * (0.6 * wave(1.7, 0) + 0.4 * wave(7.3, 1)),
                shake * (0.6 * wave(1.3, 2) + 0.4 * wave(8.9, 3))};
  const double sway = scene.hand_sway * height;
  view.hand_shift = {sway * wave(0.31, 1), sway * wave(0.43, 0)};
  view.gain = 1.0 + scene.auto_exposure * std::sin(t / scene.auto_exposure_period_s);
  return view;
}

void Painter::move_areas(const View& view) {
  view_ = view;
  const Regions regions = stored_regions();
  stored_screen_ = regions.screen;
  screen_ = make_area(regions.screen, view.shift);
  patch_ = make_area(regions.patch, view.shift);
  finger_area_ = make_area(orientation_.stored(scene_.finger_bounds()), view.shift);
  const auto move_lamp = [&](Lamp& lamp, const Region& upright) {
    lamp.area = make_area(orientation_.stored(upright), view.shift);
    lamp.cover.clear();
    for (int row = lamp.area.top; row < lamp.area.bottom; ++row) {
      for (int column = lamp.area.left; column < lamp.area.right; ++column) {
        const Point point{column + 0.5 - view.shift.x, row + 0.5 - view.shift.y};
        lamp.cover.push_back(
            static_cast<float>(Scene::lamp_cover(upright, orientation_.upright(point))));
      }
    }
  };
  for (Lamp& lamp : button_lamps_) {
    move_lamp(lamp, *scene_.regions().lamp);
  }
  for (Lamp& lamp : host_lamps_) {
    move_lamp(lamp, *scene_.regions().host_lamp);
  }
}

/// Share of the scan-out's way at a point of the stored picture.
double Painter::display_row(double column, double row) const {
  const Point point = orientation_.upright(Point{column - view_.shift.x, row - view_.shift.y});
  const Region& screen = scene_.regions().screen;
  const double x = (point.x - screen.x) / screen.w;
  const double y = (point.y - screen.y) / screen.h;
  double way = y;
  if (settings_.display.scan == ScanDirection::kUp) {
    way = 1.0 - y;
  } else if (settings_.display.scan == ScanDirection::kRight) {
    way = x;
  } else if (settings_.display.scan == ScanDirection::kLeft) {
    way = 1.0 - x;
  }
  return std::clamp(way, 0.0, 1.0);
}

/// Whether the light of the screen is the same along each stored row.
bool Painter::rows_are_alike() const {
  const ScanDirection scan = settings_.display.scan;
  const bool scans_down = scan == ScanDirection::kDown || scan == ScanDirection::kUp;
  return scans_down == orientation_.keeps_rows() || settings_.display.scanout_share == 0.0;
}

RowLight Painter::row_light(double column, int row, const Window& window) const {
  return panel_.mean(display_row(column, row + 0.5), window.from_s, window.to_s);
}

Painter::RowState Painter::row_state(int row, const Window& window) const {
  RowState state;
  if (screen_.in_row(row)) {
    const double middle = 0.5 * (patch_.left + patch_.right);
    state.screen.fill(row_light(middle, row, window));
    if (!rows_are_alike()) {
      state.screen[0] = row_light(screen_.left, row, window);
      state.screen[2] = row_light(screen_.right, row, window);
    }
  }
  for (const Lamp& lamp : button_lamps_) {
    state.lamp = lamp.area.in_row(row) ? lamp.light.mean(window.from_s, window.to_s) : 0.0;
  }
  for (const Lamp& lamp : host_lamps_) {
    state.host_lamp = lamp.area.in_row(row) ? lamp.light.mean(window.from_s, window.to_s) : 0.0;
  }
  if (settings_.scene.finger && finger_area_.in_row(row)) {
    state.finger = {finger_.position(window.from_s), finger_.position(window.to_s)};
  }
  return state;
}

/// The columns that must be painted again.
Painter::Span Painter::stale_span(int row, const RowState& now, const RowState& last) const {
  if (all_varies_) {
    return {0, planes_.width};
  }
  Span span{planes_.width, 0};
  const auto widen = [&](const Area& area) {
    span.left = std::min(span.left, area.left);
    span.right = std::max(span.right, area.right);
  };
  if (game_ && screen_.in_row(row)) {
    widen(screen_);
  } else if (screen_.in_row(row)) {
    const bool settled =
        rows_are_alike() || (same(now.screen[0], now.screen[1]) &&
                             same(now.screen[1], now.screen[2]) && panel_.is_steady());
    const bool changed = !same(now.screen[0], last.screen[0]) ||
                         !same(now.screen[1], last.screen[1]) ||
                         !same(now.screen[2], last.screen[2]);
    if (changed || !settled) {
      widen(panel_.is_steady() ? patch_ : screen_);
    }
  }
  if (now.lamp != last.lamp) {
    widen(button_lamps_.front().area);
  }
  if (now.host_lamp != last.host_lamp) {
    widen(host_lamps_.front().area);
  }
  const bool sways = settings_.scene.hand_sway > 0.0 && now.finger[0] >= 0.0;
  if (now.finger != last.finger || sways) {
    widen(finger_area_);
  }
  return span;
}

const Planes& Painter::paint(const CameraFrame& frame) {
  view_ = view(frame);
  if (settings_.scene.shake > 0.0) {
    move_areas(view_);
  }
  for (int row = 0; row < planes_.height; ++row) {
    const Window window = exposure(frame, row);
    const RowState state = row_state(row, window);
    RowState& last = states_[static_cast<std::size_t>(row)];
    const Span span = stale_span(row, state, last);
    if (span.left < span.right) {
      paint_span(row, span, window, state);
    }
    last = state;
  }
  return planes_;
}

void Painter::paint_span(int row, Span span, const Window& window, const RowState& state) {
  double spill = 0.0;
  if (settings_.scene.spill > 0.0) {
    const double middle = stored_screen_.x + 0.5 * stored_screen_.w;
    spill = settings_.scene.spill * settings_.display.bright *
            panel_
                .mean(display_row(middle, stored_screen_.y + 0.5 * stored_screen_.h), window.from_s,
                      window.to_s)
                .drive;
  }
  add_reflections(row, span, window, spill);
  if (game_) {
    game_->add(row, span.left, span.right, window.from_s, window.to_s, line_.data());
  } else if (screen_.in_row(row)) {
    add_screen(row, span, window, state);
  }
  for (const Lamp& lamp : button_lamps_) {
    add_lamp(lamp, row, span, state.lamp * lamp.level);
  }
  for (const Lamp& lamp : host_lamps_) {
    add_lamp(lamp, row, span, state.host_lamp * lamp.level);
  }
  if (settings_.scene.finger && finger_area_.in_row(row)) {
    add_finger(row, span, window, state, ambient(window) + spill);
  }
  for (int x = span.left; x < span.right; ++x) {
    line_[static_cast<std::size_t>(x)] *= static_cast<float>(view_.gain);
  }
  if (!noise_.empty()) {
    add_noise(span);
  }
  const auto first = static_cast<std::size_t>(row) * planes_.width + span.left;
  coder_.encode(line_.data() + span.left, span.right - span.left, planes_.luma.data() + first);
}

/// Mean of 1 + m sin(2 pi f t + phase) over the window, in closed form, times the ambient light.
double Painter::ambient(const Window& window) const {
  const SceneSettings& scene = settings_.scene;
  if (scene.flicker == 0.0) {
    return scene.ambient;
  }
  const double half = kPi * scene.flicker_hz * (window.to_s - window.from_s);
  const double middle = kPi * scene.flicker_hz * (window.to_s + window.from_s) + flicker_phase_;
  const double wave = std::sin(middle) * std::sin(half) / half;
  return scene.ambient * (1.0 + scene.flicker * wave);
}

void Painter::add_reflections(int row, Span span, const Window& window, double spill) {
  const double x = margin_ - view_.shift.x;
  const double y = row + margin_ - view_.shift.y;
  const auto gain = static_cast<float>(ambient(window) + spill);
  const std::ptrdiff_t stride = planes_.width + 2 * margin_;
  const auto column = static_cast<std::ptrdiff_t>(std::floor(x));
  const auto line = static_cast<std::ptrdiff_t>(std::floor(y));
  const auto u = static_cast<float>(x - std::floor(x));
  const auto v = static_cast<float>(y - std::floor(y));
  const float* upper = base_.data() + line * stride + column;
  const float* lower = upper + stride;
  if (u == 0.0F && v == 0.0F) {
    for (int k = span.left; k < span.right; ++k) {
      line_[static_cast<std::size_t>(k)] = gain * upper[k];
    }
    return;
  }
  for (int k = span.left; k < span.right; ++k) {
    const float above = upper[k] + u * (upper[k + 1] - upper[k]);
    const float below = lower[k] + u * (lower[k + 1] - lower[k]);
    line_[static_cast<std::size_t>(k)] = gain * (above + v * (below - above));
  }
}

void Painter::add_screen(int row, Span span, const Window& window, const RowState& state) {
  const DisplaySettings& display = settings_.display;
  const auto y = static_cast<std::size_t>(row);
  const int left = std::max(span.left, screen_.left);
  const int right = std::min(span.right, screen_.right);
  RowLight light = state.screen[1];
  for (int k = left; k < right; ++k) {
    const auto x = static_cast<std::size_t>(k);
    if (!rows_are_alike()) {
      light = row_light(k + 0.5, row, window);
    }
    const double screen_share = screen_.columns[x] * screen_.rows[y];
    const double patch_share = patch_.columns[x] * patch_.rows[y];
    const double dark =
        (screen_share - patch_share) * display.surround + patch_share * display.dark;
    const double step = patch_share * (display.bright - display.dark);
    line_[x] += static_cast<float>(dark * light.backlight + step * light.drive);
  }
}

void Painter::add_lamp(const Lamp& lamp, int row, Span span, double level) {
  if (level == 0.0 || !lamp.area.in_row(row)) {
    return;
  }
  const int width = lamp.area.right - lamp.area.left;
  const float* cover_row =
      lamp.cover.data() + static_cast<std::ptrdiff_t>(row - lamp.area.top) * width;
  const int right = std::min(span.right, lamp.area.right);
  for (int k = std::max(span.left, lamp.area.left); k < right; ++k) {
    line_[static_cast<std::size_t>(k)] += static_cast<float>(level) * cover_row[k - lamp.area.left];
  }
}

void Painter::add_finger(int row, Span span, const Window& window, const RowState& state,
                         double gain) {
  const bool still = state.finger[0] == state.finger[1];
  const int steps = still ? 1 : kFingerSteps;
  const int right = std::min(span.right, finger_area_.right);
  for (int k = std::max(span.left, finger_area_.left); k < right; ++k) {
    Point point = orientation_.upright(Point{k + 0.5 - view_.shift.x, row + 0.5 - view_.shift.y});
    point.x -= view_.hand_shift.x;
    point.y -= view_.hand_shift.y;
    double covered = 0.0;
    double light = 0.0;
    for (int step = 0; step < steps; ++step) {
      const double share = (step + 0.5) / steps;
      const double position =
          still ? state.finger[0] : finger_.position(std::lerp(window.from_s, window.to_s, share));
      const double part = scene_.finger_cover(point, position) / steps;
      if (part > 0.0) {
        covered += part;
        light += part * scene_.finger_reflectance(point, position);
      }
    }
    float& pixel = line_[static_cast<std::size_t>(k)];
    pixel = static_cast<float>((1.0 - covered) * pixel + gain * light);
  }
}

void Painter::add_noise(Span span) {
  const double read = settings_.camera.read_noise;
  const auto read_variance = static_cast<float>(read * read);
  const double well = settings_.camera.full_well;
  const auto per_light = static_cast<float>(well > 0.0 ? 1.0 / well : 0.0);
  const std::size_t spare = noise_.size() - line_.size();
  const float* noise = noise_.data() + random_.bits() % spare;
  for (int k = span.left; k < span.right; ++k) {
    float& pixel = line_[static_cast<std::size_t>(k)];
    pixel += noise[k] * std::sqrt(read_variance + per_light * std::max(pixel, 0.0F));
  }
}

}  // namespace thumblight::rehearsal
