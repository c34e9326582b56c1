#include "analysis/report/press_table.hpp"

#include "analysis/report/csv.hpp"

namespace thumblight::report {
namespace {

using timing::Portion;

std::string index(const std::optional<std::int64_t>& number) {
  return number ? std::to_string(*number) : "";
}

std::vector<std::string> heading() {
  std::vector<std::string> cells = {"press", "recorded", "logged"};
  for (const Portion portion : timing::kPortions) {
    cells.push_back(std::string(name(portion)) + "_ms");
    cells.push_back(std::string(name(portion)) + "_u_ms");
  }
  for (const char* heading : {"flags", "press_by", "light_by", "left_out"}) {
    cells.emplace_back(heading);
  }
  return cells;
}

std::string flags(const timing::PressSplit& press) {
  std::string text;
  for (const std::string& flag : press.flags) {
    text += (text.empty() ? "" : " ") + flag;
  }
  return csv_text(text);
}

std::string hand_or_tool(const std::string& how) {
  return how.empty() ? "" : how == "mark" ? "hand" : "tool";
}

}  // namespace

std::string encode_press_csv(const Result& result) {
  std::string text = csv_line(heading());
  for (std::size_t k = 0; k < result.split.presses.size(); ++k) {
    const timing::PressSplit& press = result.split.presses[k];
    std::vector<std::string> cells = {std::to_string(k), index(press.recorded_index),
                                      index(press.logged_index)};
    for (const Portion portion : timing::kPortions) {
      cells.push_back(csv_ms(press.portions_ms[portion]));
      cells.push_back(csv_ms(press.u_ms[portion]));
    }
    cells.push_back(flags(press));
    cells.push_back(hand_or_tool(press.press_how));
    cells.push_back(hand_or_tool(press.light_how));
    cells.push_back(csv_text(press.left_out.value_or("")));
    text += csv_line(cells);
  }
  return text;
}

}  // namespace thumblight::report
