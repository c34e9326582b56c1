#include "analysis/onset/extract.hpp"
#include "harness/session/error.hpp"

namespace thumblight::onset {

Timings extract_trace(const Request& request) {
  throw Error(request.recording.string() + ": traces are not read yet");
}

}  // namespace thumblight::onset
