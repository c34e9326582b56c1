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
  words += "press " + std::to_string(*review.row() + 1) + " of " +
           std::to_string(review.rows().size());
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

std::string hint_words(const Review& review) {
  if (!review.message().empty()) {
    return review.message();
  }
  if (review.mode() == Mode::kRegions) {
    return "arrows move the region, with Ctrl they size it, R goes to the other, Return ends it";
  }
  return "left, right: a frame    up, down: a press    P: press here    L: light here    "
         "H: all keys";
}

}  // namespace thumblight::review
