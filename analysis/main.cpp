#include <langinfo.h>
#include <locale.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <cstring>
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

/// Colours are for terminals, and not where NO_COLOR is set to anything.
bool wants_colour() {
  const char* no_colour = std::getenv("NO_COLOR");
  const char* terminal = std::getenv("TERM");
  return ::isatty(STDOUT_FILENO) == 1 && (no_colour == nullptr || *no_colour == '\0') &&
         terminal != nullptr && std::strcmp(terminal, "dumb") != 0;
}

/// Whether the locale writes another encoding than UTF-8.
bool wants_ascii() {
  const locale_t locale = ::newlocale(LC_CTYPE_MASK, "", nullptr);
  if (locale == nullptr) {
    return true;
  }
  const bool is_utf8 = std::strcmp(::nl_langinfo_l(CODESET, locale), "UTF-8") == 0;
  ::freelocale(locale);
  return !is_utf8;
}

}  // namespace

int main(int argc, char** argv) {
  std::ios::sync_with_stdio(false);
  const bool progress = ::isatty(STDERR_FILENO) == 1;
  return thumblight::commands::run(
      argc, argv,
      {std::cout, std::cerr, false, progress, columns_of_output(), wants_colour(), wants_ascii()});
}
