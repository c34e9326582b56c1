#include <SDL.h>

#include <exception>
#include <iostream>

#include "harness/program.hpp"
#include "harness/session/error.hpp"

int main(int argc, char** argv) {
  try {
    return thumblight::harness::run_program(argc, argv);
  } catch (const std::exception& error) {
    std::cerr << "thumblight-harness: " << error.what() << '\n';
    return thumblight::kExitFailed;
  }
}
