#pragma once

namespace thumblight::harness {

/// The whole program: parses, asks, runs, sums up. Gives the exit code; throws `Error`.
int run_program(int argc, const char* const* argv);

}  // namespace thumblight::harness
