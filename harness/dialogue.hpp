#pragma once

#include <optional>

#include "harness/run/clock.hpp"
#include "harness/run/input.hpp"
#include "harness/run/screen.hpp"

namespace thumblight::harness {

/// How a page was answered.
enum class Answer { kGoOn, kLeave, kInterrupted };

/// Shows the caution and waits: a key or button held for one second goes on, a short press leaves.
Answer ask_caution(Clock& clock, Input& input, Screen& screen);

struct Learned {
  Answer answer = Answer::kLeave;
  std::optional<Control> control;  ///< there where the answer is to go on
};

/// Whatever is pressed first is the control under test. `escape` is the one that leaves.
Learned learn_control(Clock& clock, Input& input, Screen& screen, const Control& escape);

/// Waits until anything is pressed.
Answer wait_for_any(Clock& clock, Input& input, Screen& screen, const Page& page);

}  // namespace thumblight::harness
