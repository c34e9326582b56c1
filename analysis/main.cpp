#include <iostream>

#include "analysis/commands/program.hpp"

int main(int argc, char** argv) {
  std::ios::sync_with_stdio(false);
  return thumblight::commands::run(argc, argv, std::cout, std::cerr);
}
