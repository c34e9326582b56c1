#pragma once

#include <stdexcept>
#include <string>

namespace thumblight {

/// A failure that a person can act on: what failed, where, and what to try, in one sentence.
/// Thrown at module borders; a program prints `what()` on one line and exits with a code of `Exit`.
class Error : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// The exit codes of both programs.
enum Exit : int { kExitGood = 0, kExitFailed = 1, kExitUsage = 2, kExitInterrupted = 130 };

}  // namespace thumblight
