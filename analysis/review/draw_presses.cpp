#include "analysis/review/draw.hpp"
#include "analysis/review/words.hpp"

namespace thumblight::review {
namespace {

std::size_t settled(const Review& review) {
  std::size_t count = 0;
  for (std::size_t row = 0; row < review.rows().size(); ++row) {
    const PressState state = review.view(row).state;
    count += state == PressState::kByHand || state == PressState::kLeftOut ? 1U : 0U;
  }
  return count;
}

void draw_row(Canvas& canvas, const Review& review, std::size_t row, const Box& box) {
  const PressView view = review.view(row);
  const double text = canvas.text_size();
  const bool chosen = review.row() == row;
  if (chosen) {
    canvas.fill(box, kChosen, text * 0.2);
    canvas.fill({box.x, box.y, text * 0.2, box.h}, kInk);
  }
  const double number_w = canvas.text_width("0000");
  canvas.text({box.x + text * 0.2, box.y, number_w, box.h}, std::to_string(row + 1),
              chosen ? kInk : kQuiet, Align::kRight);
  const double sign_x = box.x + number_w + text * 1.1;
  canvas.sign(view.state, {sign_x, box.y + box.h / 2}, text * 0.36);
  const std::string total = total_words(review, view);
  const double total_w = canvas.text_width("0000.0 ms");
  canvas.text({box.right() - total_w - text * 0.4, box.y, total_w, box.h}, total,
              chosen ? kInk : kQuiet, Align::kRight);
  const double words_x = sign_x + text * 0.8;
  canvas.text({words_x, box.y, box.right() - total_w - text * 0.6 - words_x, box.h},
              name(view.state), shade_of(view.state), Align::kLeft, chosen);
}

}  // namespace

void draw_details(Canvas& canvas, const Layout& layout, const Review& review) {
  const Box& box = layout.details;
  const double text = canvas.text_size();
  canvas.fill(box, kRaised, text * 0.3);
  Box line = {box.x + text * 0.8, box.y + text * 0.5, box.w - text * 1.6, text * 1.5};
  const double what_w = canvas.text_width("press  ");
  for (const Detail& detail : detail_words(review)) {
    canvas.text(line, detail.what, kQuiet);
    canvas.text({line.x + what_w, line.y, line.w - what_w, line.h}, detail.known, kInk);
    line.y += line.h;
  }
  const PressState state = review.row() ? review.view(*review.row()).state : PressState::kUnseen;
  canvas.paragraph({line.x, line.y + text * 0.2, line.w, text * 2.6}, reason_words(review),
                   shade_of(state));
}

void draw_presses(Canvas& canvas, const Review& review, const PressList& list) {
  const double text = canvas.text_size();
  const Box head = list.head();
  const std::string count = std::to_string(settled(review)) + " of " +
                            std::to_string(review.rows().size()) + " settled by hand";
  const std::size_t rows = review.rows().size();
  canvas.text({head.x + text * 0.5, head.y, head.w - text, head.h},
              rows == 0 ? "no press yet: N places one" : count, kQuiet);
  for (std::size_t row = list.first(); row < list.end(); ++row) {
    draw_row(canvas, review, row, list.box_of(row));
  }
  if (const std::optional<Box> bar = list.bar()) {
    canvas.fill(*bar, kLine, bar->w / 2);
  }
}

}  // namespace thumblight::review
