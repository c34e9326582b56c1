#pragma once

#include <ostream>

namespace thumblight::commands {

/// The whole program but for its streams; gives the exit code (`Exit`).
int run(int argc, const char* const* argv, std::ostream& out, std::ostream& err);

}  // namespace thumblight::commands
