#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <iostream>

#include "analysis/commands/program.hpp"
#include "analysis/report/wrap.hpp"

namespace {

/// Of the terminal, where standard output is one: lines longer than usual are read badly, so it is
/// never more than that.
std::size_t columns_of_output() {
  constexpr std::size_t kFewest = 40;
  winsize size{};
  if (::isatty(STDOUT_FILENO) != 1 || ::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 ||
      size.ws_col == 0) {
    return thumblight::report::kTerminalColumns;
  }
  return std::clamp<std::size_t>(size.ws_col, kFewest, thumblight::report::kTerminalColumns);
}

}  // namespace

int main(int argc, char** argv) {
  std::ios::sync_with_stdio(false);
  const bool progress = ::isatty(STDERR_FILENO) == 1;
  return thumblight::commands::run(argc, argv,
                                   {std::cout, std::cerr, false, progress, columns_of_output()});
}
