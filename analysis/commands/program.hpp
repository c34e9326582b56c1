#pragma once

#include "analysis/commands/verbs.hpp"

namespace thumblight::commands {

/// The whole program but for its streams; gives the exit code (`Exit`).
int run(int argc, const char* const* argv, const Streams& streams);

}  // namespace thumblight::commands
