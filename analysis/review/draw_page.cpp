#include "analysis/review/draw.hpp"

namespace thumblight::review {
namespace {

void draw_ground(Canvas& canvas, const PageLayout& page, const std::string& title) {
  const double text = canvas.text_size();
  canvas.fill({0, 0, page.page.x * 2 + page.page.w, page.page.y * 2 + page.page.h},
              kBlack.faint(150));
  canvas.fill(page.page, kRaised, text * 0.4);
  canvas.outline(page.page, kLine, 2, text * 0.4);
  canvas.text(page.title, title, kInk, Align::kLeft, true);
}

Box line_box(const PageLayout& page, std::size_t line) {
  return {page.lines.x, page.lines.y + static_cast<double>(line) * page.line, page.lines.w,
          page.line};
}

void draw_choice(Canvas& canvas, const Box& box) {
  const double text = canvas.text_size();
  canvas.fill({box.x - text * 0.5, box.y, box.w + text, box.h}, kChosen, text * 0.2);
}

/// The parts of a line of the help page.
struct Columns {
  explicit Columns(const Box& box)
      : key{box.x, box.y, box.w * 0.24, box.h},
        pad{box.x + box.w * 0.25, box.y, box.w * 0.29, box.h},
        words{box.x + box.w * 0.55, box.y, box.w * 0.45, box.h} {}
  Box key;
  Box pad;
  Box words;
};

void draw_help(Canvas& canvas, const PageLayout& page, const Review& review) {
  draw_ground(canvas, page, "");
  const Columns columns(page.title);
  canvas.text(columns.key, "Key", kPressShade, Align::kLeft, true);
  canvas.text(columns.pad, "Controller", kLightShade, Align::kLeft, true);
  canvas.text(columns.words, "What it does", kInk, Align::kLeft, true);
  std::size_t line = 0;
  for (const Binding& binding : bindings(Mode::kLook)) {
    const Box box = line_box(page, line);
    if (line++ == review.chosen()) {
      draw_choice(canvas, box);
    }
    const Controls controls = controls_of(binding);
    const Columns at(box);
    canvas.text(at.key, controls.keys, kPressShade);
    canvas.text(at.pad, controls.pad, kLightShade);
    canvas.text(at.words, binding.words, kInk);
  }
  canvas.text(line_box(page, line), "Return, or A on a controller, does what is chosen here",
              kQuiet);
  canvas.text(line_box(page, line + 1),
              "Mouse: drag regions, picture and time; the wheel goes closer, or shows less time",
              kQuiet);
}

void draw_reasons(Canvas& canvas, const PageLayout& page, const Review& review) {
  draw_ground(canvas, page, "Why is this press left out?");
  for (std::size_t line = 0; line <= review.reasons().size(); ++line) {
    const Box box = line_box(page, line);
    if (line == review.chosen()) {
      draw_choice(canvas, box);
    }
    const bool typed = line == review.reasons().size();
    const std::string words = !typed                   ? review.reasons()[line]
                              : review.typed().empty() ? "another reason: type it"
                                                       : review.typed() + "_";
    canvas.text(box, words, typed && review.typed().empty() ? kQuiet : kInk);
  }
}

}  // namespace

double height_of_page(const Review& review) {
  const bool help = review.mode() == Mode::kHelp;
  return static_cast<double>(lines_of_page(review)) + (help ? 2 : 0);
}

std::size_t lines_of_page(const Review& review) {
  return review.mode() == Mode::kHelp ? bindings(Mode::kLook).size() : review.reasons().size() + 1;
}

std::optional<std::size_t> page_line_at(const PageLayout& page, const Review& review, Point point) {
  for (std::size_t line = 0; line < lines_of_page(review); ++line) {
    if (line_box(page, line).holds(point)) {
      return line;
    }
  }
  return std::nullopt;
}

void draw_page(Canvas& canvas, const PageLayout& page, const Review& review) {
  if (review.mode() == Mode::kHelp) {
    draw_help(canvas, page, review);
  } else if (review.mode() == Mode::kReasons) {
    draw_reasons(canvas, page, review);
  }
}

}  // namespace thumblight::review
