#include "analysis/report/mark_words.hpp"

#include "analysis/report/numbers.hpp"

namespace thumblight::report {
namespace {

std::string counted(std::size_t n, const std::string& what) {
  return std::to_string(n) + ' ' + what + (n == 1 ? "" : what == "press" ? "es" : "s");
}

/// "press 3 (blurred), press 9 (hand in the way)".
std::string names_left_out(const Result& result) {
  constexpr std::size_t kMostNamed = 8;
  std::string text;
  std::size_t named = 0;
  for (const timing::PressSplit& press : result.split.presses) {
    if (!press.left_out || !press.recorded_index) {
      continue;
    }
    if (++named > kMostNamed) {
      return text + ", ...";
    }
    text += (text.empty() ? "press " : ", press ") + std::to_string(*press.recorded_index) +
            (press.left_out->empty() ? "" : " (" + *press.left_out + ")");
  }
  return text;
}

std::string placed_words(const Result& result) {
  const onset::HandMarks& by_hand = *result.by_hand;
  std::string text = "By hand: " + counted(by_hand.presses, "press") + " and " +
                     counted(by_hand.lights, "light") + " marked";
  if (by_hand.added > 0) {
    text += "; " + counted(by_hand.added, "press") + " added";
  }
  if (by_hand.left_out > 0) {
    text += "; " + counted(by_hand.left_out, "press") + " left out: " + names_left_out(result);
  }
  return text + ".";
}

std::string repeats_words(const onset::Repeatability& repeats, const char* what) {
  const double sd_ms = repeats.sd_s * 1e3;
  return std::string(what) + ' ' + (sd_ms > 0 ? fixed(sd_ms, decimals_for(sd_ms)) : "0") + " ms (" +
         counted(repeats.instants, "instant") + ", " + shortest(repeats.dof) +
         " degrees of freedom)";
}

std::string repeatability_words(const onset::HandMarks& by_hand) {
  if (!by_hand.press && !by_hand.light) {
    return by_hand.presses + by_hand.lights == 0
               ? ""
               : "No instant was marked twice, so each mark counts with half a frame, and its "
                 "repeatability is not known (review --again tells it).";
  }
  std::string text = "Repeatability of the marks, standard deviation within the person: ";
  if (by_hand.press) {
    text += repeats_words(*by_hand.press, "press");
  }
  if (by_hand.light) {
    text += (by_hand.press ? ", " : "") + repeats_words(*by_hand.light, "light");
  }
  return text + ".";
}

}  // namespace

std::vector<std::string> mark_words(const Result& result) {
  if (!result.by_hand) {
    return {};
  }
  std::vector<std::string> sentences = {placed_words(result)};
  const std::string repeatability = repeatability_words(*result.by_hand);
  if (!repeatability.empty()) {
    sentences.push_back(repeatability);
  }
  return sentences;
}

std::string left_out_words(const timing::PressSplit& press) {
  if (!press.left_out) {
    return "";
  }
  return "left out" + (press.left_out->empty() ? "" : ": " + *press.left_out);
}

}  // namespace thumblight::report
