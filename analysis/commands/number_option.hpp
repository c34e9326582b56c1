#pragma once

#include <functional>
#include <string>

namespace thumblight::commands {

/// A check for an option that takes a number from `least` to `most`: what is wrong with the text,
/// empty if nothing.
std::function<std::string(const std::string&)> number_between(double least, double most,
                                                              const std::string& unit);

}  // namespace thumblight::commands
