#include <unistd.h>

#include <iostream>

#include "analysis/commands/program.hpp"

int main(int argc, char** argv) {
  std::ios::sync_with_stdio(false);
  const bool progress = ::isatty(STDERR_FILENO) == 1;
  return thumblight::commands::run(argc, argv, {std::cout, std::cerr, false, progress});
}
