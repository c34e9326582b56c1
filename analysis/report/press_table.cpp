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
  cells.emplace_back("flags");
  return cells;
}

std::string flags(const timing::PressSplit& press) {
  std::string text;
  for (const std::string& flag : press.flags) {
    text += (text.empty() ? "" : " ") + flag;
  }
  return csv_text(text);
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
    text += csv_line(cells);
  }
  return text;
}

}  // namespace thumblight::report
