#include "analysis/review/words.hpp"

#include <array>
#include <charconv>
#include <system_error>

namespace thumblight::review {
namespace {

std::string fixed(double value, int digits) {
  std::array<char, 64> text{};
  const auto [end, fault] = std::to_chars(text.data(), text.data() + text.size(), value,
                                          std::chars_format::fixed, digits);
  return fault == std::errc() ? std::string(text.data(), end) : "?";
}

std::string folder_name(const std::filesystem::path& folder) {
  std::error_code fault;
  const std::filesystem::path whole = std::filesystem::weakly_canonical(folder, fault);
  return (fault ? folder : whole).filename().string();
}

std::string after(const char* what, const SeenInstant& instant, const Review& review) {
  const std::int64_t frames = review.frame() - instant.frame;
  if (frames == 0) {
    return std::string("in the frame of the ") + what;
  }
  return std::to_string(frames < 0 ? -frames : frames) +
         (frames == 1 || frames == -1 ? " frame " : " frames ") +
         (frames < 0 ? "before" : "after") + " the " + what;
}

std::string instant_words(const std::optional<SeenInstant>& instant) {
  if (!instant) {
    return "–";
  }
  std::string words = instant->by_hand ? "by hand" : "found";
  if (instant->u_s) {
    constexpr double kCoverage = 2;  // of the band that is drawn
    words += ", ± " + ms_words(kCoverage * *instant->u_s, *instant->u_s < 0.5e-3 ? 2 : 1);
  }
  return words;
}

}  // namespace

std::string ms_words(double seconds, int digits) {
  return fixed(seconds * 1e3, digits) + " ms";
}

std::string window_name(const Review& review) {
  return review.options().blind ? "Thumblight review"
                                : "Thumblight review: " + folder_name(review.session().folder);
}

std::string title_words(const Review& review) {
  std::string words;
  if (!review.options().blind) {
    words = folder_name(review.session().folder) + "    ";
  }
  if (!review.row()) {
    return words + (review.rows().empty() ? "no press yet" : "no press chosen");
  }
  words +=
      "press " + std::to_string(*review.row() + 1) + " of " + std::to_string(review.rows().size());
  if (review.session().hides_rest) {
    words += "    look " + std::to_string(review.session().pass);
  }
  return words;
}

std::string place_words(const Review& review) {
  std::string words;
  if (review.row()) {
    const PressView view = review.view(*review.row());
    if (view.press) {
      words = after("press", *view.press, review);
    } else if (view.light) {
      words = after("light", *view.light, review);
    }
  }
  if (review.options().blind) {
    return words;
  }
  return words + (words.empty() ? "" : "    ") + "frame " + std::to_string(review.frame()) +
         "    " + fixed(review.frame_s(), 4) + " s";
}

std::string total_words(const Review& review, const PressView& view) {
  const std::optional<double> total_s = view.total_s();
  const bool is_hidden = review.options().blind || !total_s || view.state == PressState::kLeftOut;
  return is_hidden ? "–" : ms_words(*total_s);
}

std::vector<Detail> detail_words(const Review& review) {
  if (!review.row()) {
    return {};
  }
  const PressView view = review.view(*review.row());
  return {{"press", instant_words(view.press)},
          {"light", instant_words(view.light)},
          {"total", total_words(review, view)}};
}

std::string reason_words(const Review& review) {
  return review.row() ? review.view(*review.row()).reason : "";
}

std::vector<Hint> hints_of(Mode mode, bool pad) {
  if (mode == Mode::kRegions && pad) {
    return {{"left right up down", "move"},
            {"shoulders", "width"},
            {"triggers", "height"},
            {"back", "the other"},
            {"A", "done"}};
  }
  if (mode == Mode::kRegions) {
    return {{"arrows", "move"},
            {"Ctrl+arrows", "size"},
            {"Shift", "ten times as far"},
            {"R", "the other"},
            {"Return", "done"}};
  }
  if (pad) {
    return {{"left right", "frame"}, {"up down", "press"}, {"A", "press here"},
            {"B", "light here"},     {"Y", "undo"},        {"start", "all buttons"}};
  }
  return {{"Left Right", "frame"}, {"Up Down", "press"},  {"P", "press here"},
          {"L", "light here"},     {"Backspace", "undo"}, {"H", "all keys"}};
}

}  // namespace thumblight::review
