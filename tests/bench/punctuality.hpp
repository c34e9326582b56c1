#pragma once

namespace thumblight::bench {

/// Asks the kernel not to round this thread's sleeps up by 50 µs, and to run it before all others,
/// which a busy machine otherwise holds up for tens of milliseconds. Says whether it does.
bool ask_for_punctuality();

}  // namespace thumblight::bench
