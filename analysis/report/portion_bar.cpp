#include "analysis/report/portion_bar.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace thumblight::report {
namespace {

using timing::Portion;

/// One kind of piece: its characters, and its colour as a parameter of SGR (ECMA-48, 8.3.117).
struct Look {
  const char* block;
  const char* ascii;
  const char* colour;
  const char* meaning;
};

enum Kind : std::size_t { kDelivery, kEither, kRender, kScreen, kUndivided };

constexpr std::array<Look, 5> kLooks = {{{"█", "#", "34", "delivery"},
                                         {"?", "?", "90", "delivery or screen"},
                                         {"▒", "+", "33", "render"},
                                         {"░", ":", "36", "screen"},
                                         {"─", "-", "39", "not divided"}}};

struct Piece {
  Kind kind;
  double ms;
};

/// What is known of delivery and screen, laid end to end; the bounds of both leave the same room
/// but for what the mean's own doubt adds, so delivery's are taken and screen has the rest.
std::vector<Piece> pieces_of(const SetUp& set_up) {
  const double total_ms = *set_up.portions[Portion::kTotal].mean_ms;
  const std::optional<double>& remainder_ms = set_up.portions[Portion::kRemainder].mean_ms;
  const PortionMean& delivery = set_up.portions[Portion::kDelivery];
  if (!remainder_ms) {
    return {{kUndivided, total_ms}};
  }
  double low_ms = 0;
  double high_ms = *remainder_ms;
  if (delivery.mean_ms) {
    low_ms = high_ms = *delivery.mean_ms;
  } else if (delivery.bounds_ms) {
    low_ms = std::max(0.0, delivery.bounds_ms->low_ms);
    high_ms = std::clamp(delivery.bounds_ms->high_ms, low_ms, std::max(low_ms, *remainder_ms));
  }
  return {{kDelivery, low_ms},
          {kEither, high_ms - low_ms},
          {kRender, total_ms - *remainder_ms},
          {kScreen, *remainder_ms - high_ms}};
}

std::string painted(const Look& look, std::size_t length, const TerminalStyle& style) {
  if (length == 0) {
    return "";
  }
  std::string text;
  for (std::size_t k = 0; k < length; ++k) {
    text += style.ascii ? look.ascii : look.block;
  }
  return style.colour ? std::string("\x1b[") + look.colour + 'm' + text + "\x1b[0m" : text;
}

}  // namespace

std::string portion_bar(const SetUp& set_up, double full_ms, std::size_t width,
                        const TerminalStyle& style) {
  if (!set_up.portions[Portion::kTotal].mean_ms || !(full_ms > 0)) {
    return "";
  }
  std::string bar;
  double end_ms = 0;
  std::size_t drawn = 0;
  for (const Piece& piece : pieces_of(set_up)) {
    end_ms += std::max(0.0, piece.ms);
    const double end = std::round(end_ms / full_ms * static_cast<double>(width));
    const auto until = static_cast<std::size_t>(std::clamp<double>(
        end, static_cast<double>(drawn), static_cast<double>(std::max(width, drawn))));
    bar += painted(kLooks[piece.kind], until - drawn, style);
    drawn = until;
  }
  return bar;
}

std::string bar_legend(const TerminalStyle& style) {
  std::string text;
  for (const Look& look : kLooks) {
    text += (text.empty() ? "" : ", ") + painted(look, 1, style) + ' ' + look.meaning;
  }
  return text;
}

}  // namespace thumblight::report
