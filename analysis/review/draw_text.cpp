#include "analysis/review/draw.hpp"
#include "analysis/review/words.hpp"

namespace thumblight::review {
namespace {

Box inset(const Box& box, double by) {
  return {box.x + by, box.y, box.w - 2 * by, box.h};
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
  const bool said = !review.message().empty();
  canvas.text(inset(layout.hints, 1.5 * layout.gap), hint_words(review), said ? kInk : kQuiet);
}

}  // namespace thumblight::review
