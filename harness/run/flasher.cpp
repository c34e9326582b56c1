#include "harness/run/flasher.hpp"

namespace thumblight::harness {

Flasher::Flasher(std::int64_t hold_ns, std::int64_t rest_ns, bool limited)
    : hold_ns_(hold_ns), rest_ns_(rest_ns), limited_(limited) {}

std::string Flasher::refusal(std::int64_t now_ns) const {
  if (is_lit()) {
    return "lit";
  }
  if (rested_ns_ && now_ns < *rested_ns_) {
    return "rest";
  }
  return limited_ && !limiter_.allows(now_ns) ? "limit" : "";
}

void Flasher::lit(std::int64_t at_ns) {
  dark_due_ns_ = at_ns + hold_ns_;
  limiter_.lit(at_ns);
}

void Flasher::darkened(std::int64_t at_ns) {
  dark_due_ns_.reset();
  rested_ns_ = at_ns + rest_ns_;
  limiter_.darkened(at_ns);
}

}  // namespace thumblight::harness
