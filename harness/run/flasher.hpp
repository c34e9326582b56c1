#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "harness/run/flash_limiter.hpp"

namespace thumblight::harness {

/// Decides which press lights the patch and when it turns dark again.
class Flasher {
 public:
  /// `limited` is false only where the two levels differ too little to count as a flash.
  Flasher(std::int64_t hold_ns, std::int64_t rest_ns, bool limited);

  /// Why a press that came now must not flash: "lit", "rest" or "limit"; empty if it may.
  std::string refusal(std::int64_t now_ns) const;

  void lit(std::int64_t at_ns);
  void darkened(std::int64_t at_ns);

  bool is_lit() const { return dark_due_ns_.has_value(); }
  /// When the patch must turn dark; empty while it is dark.
  std::optional<std::int64_t> dark_due_ns() const { return dark_due_ns_; }

 private:
  std::int64_t hold_ns_;
  std::int64_t rest_ns_;
  bool limited_;
  FlashLimiter limiter_;
  std::optional<std::int64_t> dark_due_ns_;
  std::optional<std::int64_t> rested_ns_;
};

}  // namespace thumblight::harness
