#pragma once

#include <cstdint>
#include <deque>

namespace thumblight::harness {

/// Keeps the patch to at most three flashes in any second (WCAG 2.2, success criteria 2.3.1 and
/// 2.3.2), whatever the options say. It counts on the safe side: a flash counts in a second if any
/// part of it, from its bright to its dark edge, lies in it, so that no second can hold more than
/// six transitions (technique G19), and the second is stretched by 5 % for the screen's own jitter.
class FlashLimiter {
 public:
  static constexpr int kMostFlashes = 3;
  static constexpr std::int64_t kWindow_ns = 1'050'000'000;

  /// True if a flash may begin now. Times never run backwards.
  bool allows(std::int64_t now_ns) const;

  void lit(std::int64_t at_ns);
  void darkened(std::int64_t at_ns);

 private:
  struct Flash {
    std::int64_t lit_ns;
    std::int64_t dark_ns;
  };
  std::deque<Flash> latest_;  ///< at most kMostFlashes, oldest first
};

/// True if the change between two sRGB grey levels (0-255) is large enough to count as a flash:
/// a tenth of the maximum relative luminance, with the darker below 0.8 (WCAG 2.2).
bool counts_as_flash(int level_a, int level_b);

/// Relative luminance of a grey level, 0 to 1 (WCAG 2.2; sRGB, IEC 61966-2-1).
double relative_luminance(int level);

}  // namespace thumblight::harness
