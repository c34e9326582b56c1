#include "analysis/review/draw.hpp"
#include "analysis/review/words.hpp"

namespace thumblight::review {
namespace {

Box inset(const Box& box, double by) {
  return {box.x + by, box.y, box.w - 2 * by, box.h};
}

/// Keys stand out from what they do.
void draw_hints(Canvas& canvas, const Box& line, const Review& review) {
  double x = line.x;
  for (const Hint& hint : hints_of(review.mode(), review.uses_pad())) {
    const double text = canvas.text_size();
    const double key_w = canvas.text_width(hint.key, true);
    const double words_w = canvas.text_width(hint.words);
    if (x + key_w + words_w + text > line.right()) {
      return;
    }
    canvas.text({x, line.y, key_w + 1, line.h}, hint.key, kInk, Align::kLeft, true);
    canvas.text({x + key_w + text * 0.5, line.y, words_w + 1, line.h}, hint.words, kQuiet);
    x += key_w + words_w + text * 2.2;
  }
}

}  // namespace

void draw_bars(Canvas& canvas, const Layout& layout, const Review& review) {
  const Box title = inset(layout.title, 1.5 * layout.gap);
  const std::string place = place_words(review);
  const double place_w = canvas.text_width(place);
  canvas.text(title, place, kInk, Align::kRight);
  canvas.text({title.x, title.y, title.w - place_w - 2 * layout.gap, title.h}, title_words(review),
              kInk, Align::kLeft, true);
  canvas.fill(layout.hints, kRaised);
  const Box line = inset(layout.hints, 1.5 * layout.gap);
  if (review.message().empty()) {
    draw_hints(canvas, line, review);
  } else {
    canvas.text(line, review.message(), kInk);
  }
}

}  // namespace thumblight::review
