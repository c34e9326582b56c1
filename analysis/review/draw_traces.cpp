#include <algorithm>
#include <cmath>

#include "analysis/review/draw.hpp"
#include "analysis/review/words.hpp"

namespace thumblight::review {
namespace {

struct Range {
  double low = 0;
  double high = 1;
};

/// From the least to the greatest of what is seen; what hardly moves against the whole stays flat.
Range range_of(const std::vector<float>& values, std::int64_t first, std::int64_t last) {
  const auto [low, high] = std::minmax_element(values.begin() + first, values.begin() + last + 1);
  const auto [lowest, highest] = std::minmax_element(values.begin(), values.end());
  constexpr double kLeastShare = 0.08;
  constexpr double kLeast = 1e-4;
  const double seen = std::max(kLeast, kLeastShare * (*highest - *lowest));
  return {*low, *low + std::max<double>(*high - *low, seen)};
}

/// A level that hardly differs from the one before goes on with it: a line that trembles by less
/// than a pixel looks thicker than it is.
void add_level(std::vector<Point>& points, double x, double y) {
  constexpr double kSame = 0.8;
  const bool same = !points.empty() && std::abs(points.back().y - y) < kSame;
  const double level = same ? points.back().y : y;
  if (points.size() > 1 && same && points[points.size() - 2].y == level) {
    points.back().x = x;
  } else {
    points.push_back({x, level});
  }
}

/// The values as steps, a frame long each; of many frames in one pixel the least and the greatest.
std::vector<Point> path_of(const std::vector<float>& values, const Review& review, const Box& box,
                           std::int64_t first, std::int64_t last) {
  const ReviewedFrames& film = review.session().film;
  const TimeView& times = review.time_view();
  const Range range = range_of(values, first, last);
  const auto to_y = [&](double value) {
    return box.bottom() - 3 - (value - range.low) / (range.high - range.low) * (box.h - 6);
  };
  std::vector<Point> points;
  const double per_pixel = static_cast<double>(last - first + 1) / box.w;
  const auto stride = static_cast<std::int64_t>(std::max(1.0, std::ceil(per_pixel)));
  for (std::int64_t frame = first; frame <= last; frame += stride) {
    const std::int64_t end = std::min(frame + stride, last + 1);
    const auto [low, high] = std::minmax_element(values.begin() + frame, values.begin() + end);
    const double x0 = times.to_x(film.time_s(frame), box);
    const double x1 = times.to_x(film.time_s(end - 1) + film.clock.interval_s, box);
    add_level(points, x0, to_y(*low));
    add_level(points, stride > 1 ? x0 : x1, to_y(*high));
  }
  return points;
}

void draw_values(Canvas& canvas, const Review& review, const Box& box,
                 const std::vector<float>& values, Shade shade) {
  const ReviewedFrames& film = review.session().film;
  const auto read = static_cast<std::int64_t>(values.size());
  const std::int64_t first = std::max<std::int64_t>(film.frame_at(review.time_view().from_s()), 0);
  const std::int64_t last = std::min(film.frame_at(review.time_view().to_s()), read - 1);
  if (first <= last) {
    canvas.path(path_of(values, review, box, first, last), shade,
                std::max(1.5, canvas.text_size() / 10));
  }
  const double read_x = std::max(
      box.x, review.time_view().to_x(
                 read > 0 ? film.time_s(read - 1) + film.clock.interval_s : film.time_s(0), box));
  if (read < film.frames() && read_x < box.right()) {
    canvas.hatch({read_x, box.y, box.right() - read_x, box.h}, kLine, canvas.text_size() * 0.7);
  }
}

/// The band of what is uncertain: 19 times of 20 the instant lies in it.
void draw_instant(Canvas& canvas, const Review& review, const Box& box, const SeenInstant& instant,
                  Shade shade, bool counts) {
  const double x = review.time_view().to_x(instant.t_s, box);
  if (!counts) {
    canvas.dashes({x, box.y}, {x, box.bottom()}, shade.faint(170), canvas.text_size() * 0.2, 1);
    return;
  }
  if (instant.u_s) {
    const double half = 2 * *instant.u_s / review.time_view().span_s() * box.w;
    canvas.fill({x - half, box.y, 2 * half, box.h}, shade.faint(70));
  }
  canvas.line({x, box.y}, {x, box.bottom()}, shade, std::max(1.5, canvas.text_size() / 12));
  if (instant.by_hand) {
    const double half = canvas.text_size() * 0.22;
    canvas.fill({x - half, box.y, 2 * half, 2 * half}, shade);
  }
}

void draw_place(Canvas& canvas, const Review& review, const Box& box) {
  const ReviewedFrames& film = review.session().film;
  const double x = review.time_view().to_x(review.frame_s(), box);
  const double w = std::max(1.0, film.clock.interval_s / review.time_view().span_s() * box.w);
  canvas.fill({x, box.y, w, box.h}, kInk.faint(50));
  canvas.line({x, box.y}, {x, box.bottom()}, kInk, 1);
}

struct TraceLook {
  const char* name;
  const char* missing;
  Shade shade;
  bool shows_change;
};

void draw_trace(Canvas& canvas, const Review& review, const Box& box, const Trace* trace,
                const TraceLook& look, const std::string& fault) {
  canvas.fill(box, kRaised);
  canvas.clip(box);
  if (trace != nullptr) {
    const double name_h = canvas.text_size() * 1.3;  // the trace runs below its name
    draw_values(canvas, review, {box.x, box.y + name_h, box.w, box.h - name_h},
                look.shows_change ? trace->change : trace->level, look.shade);
  }
  if (review.row()) {
    const PressView view = review.view(*review.row());
    const auto both = [&](const std::optional<SeenInstant>& instant, Shade shade, bool counts) {
      if (instant) {
        draw_instant(canvas, review, box, *instant, shade, counts);
      }
    };
    both(view.found_press, kPressShade, false);
    both(view.found_light, kLightShade, false);
    both(view.press, kPressShade, true);
    both(view.light, kLightShade, true);
  }
  draw_place(canvas, review, box);
  const std::string words = trace != nullptr ? look.name : look.missing;
  const double text = canvas.text_size();
  canvas.text({box.x + text * 0.5, box.y, box.w - text, text * 1.4},
              fault.empty() ? words : words + ": " + fault, look.shade);
  canvas.unclip();
}

/// Times on the axis count from the press, or from the frame that is looked at.
double zero_s(const Review& review) {
  if (review.row()) {
    const PressView view = review.view(*review.row());
    if (view.press || view.light) {
      return view.press ? view.press->t_s : view.light->t_s;
    }
  }
  return review.frame_s();
}

void draw_times(Canvas& canvas, const Layout& layout, const Review& review) {
  const Box& box = layout.times;
  const TimeView& times = review.time_view();
  const double zero = zero_s(review);
  const int most = std::max(2, static_cast<int>(box.w / (layout.text * 6)));
  const double step = axis_step(times.span_s(), most);
  const int digits = step < 0.001 ? 1 : 0;
  for (double t = std::ceil((times.from_s() - zero) / step) * step; t + zero <= times.to_s();
       t += step) {
    const double x = times.to_x(zero + t, box);
    const double half = layout.text * 3;
    canvas.line({x, box.y}, {x, box.y + layout.text * 0.2}, kQuiet);
    if (x - half > box.x && x + half < box.right()) {
      canvas.text({x - half, box.y, 2 * half, box.h},
                  (t > step / 2 ? "+" : "") + ms_words(std::abs(t) < step / 2 ? 0 : t, digits),
                  kQuiet, Align::kMiddle);
    }
  }
}

void draw_overview(Canvas& canvas, const Layout& layout, const Review& review) {
  const Box& box = layout.overview;
  const TimeView& times = review.time_view();
  const double all_s = times.recording_to_s() - times.recording_from_s();
  const auto to_x = [&](double t_s) {
    return box.x + (t_s - times.recording_from_s()) / all_s * box.w;
  };
  canvas.fill(box, kRaised);
  for (std::size_t row = 0; row < review.rows().size(); ++row) {
    const PressRow& press = review.rows()[row];
    if (press.session != review.session_index() || review.options().blind) {
      continue;
    }
    const PressView view = review.view(row);
    const double x = to_x(place_s(review.session(), press.index));
    const double thick = row == review.row() ? layout.text / 5 : layout.text / 10;
    canvas.line({x, box.y + 2}, {x, box.bottom() - 2}, shade_of(view.state), std::max(1.0, thick));
  }
  const double from = to_x(times.from_s());
  const double to = std::max(to_x(times.to_s()), from + 4);
  canvas.fill({from, box.y, to - from, box.h}, kInk.faint(40));
  canvas.outline({from, box.y, to - from, box.h}, kInk, 1.5);
}

}  // namespace

void draw_traces(Canvas& canvas, const Layout& layout, const Review& review,
                 const SeenTraces& traces) {
  const onset::Timings& found = review.session().marks.found();
  const bool moves = std::any_of(found.presses.begin(), found.presses.end(), [](const auto& press) {
    return press.press && press.press->how == "finger";
  });
  const bool changes = review.session().without_log;
  draw_trace(canvas, review, layout.press_trace, traces.press,
             {moves ? "press: movement" : "press: brightness", "press: no region yet (R)",
              kPressShade, moves},
             traces.fault);
  draw_trace(canvas, review, layout.light_trace, traces.light,
             {changes ? "light: change" : "light: brightness", "light: no region yet (R)",
              kLightShade, changes},
             traces.fault);
  draw_times(canvas, layout, review);
  draw_overview(canvas, layout, review);
}

}  // namespace thumblight::review
