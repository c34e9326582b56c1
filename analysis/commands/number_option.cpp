#include "analysis/commands/number_option.hpp"

#include <charconv>

#include "analysis/report/numbers.hpp"

namespace thumblight::commands {

std::function<std::string(const std::string&)> number_between(double least, double most,
                                                              const std::string& unit) {
  return [least, most, unit](const std::string& text) -> std::string {
    double value = 0;
    const char* end = text.data() + text.size();
    const auto [stopped, fault] = std::from_chars(text.data(), end, value);
    if (fault == std::errc() && stopped == end && value >= least && value <= most) {
      return "";
    }
    return "'" + text + "' is no " + unit + " from " + report::shortest(least) + " to " +
           report::shortest(most);
  };
}

}  // namespace thumblight::commands
