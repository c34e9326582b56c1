#include "analysis/report/comparison_words.hpp"

#include "analysis/report/numbers.hpp"

namespace thumblight::report {
namespace {

using timing::Portion;

/// The sentence on a difference that rests on a single observation on a side.
std::string one_press_sentence(const PortionDifference& difference, const std::string& a,
                               const std::string& b) {
  const std::string which = difference.n_a == 1 ? (difference.n_b == 1 ? "Either" : a) : b;
  return which + " has one press: that gives no SD and no interval, so whether " + a + " and " + b +
         " differ stays open. The one difference seen, " + fixed(difference.difference_ms, 1) +
         " ms, may be chance.";
}

}  // namespace

std::string joined(const std::vector<std::string>& parts, const char* between) {
  std::string text;
  for (const std::string& part : parts) {
    text += (text.empty() ? "" : between) + part;
  }
  return text;
}

std::string verdict_sentence(const PortionDifference& difference, const std::string& a,
                             const std::string& b) {
  if (!difference.verdict) {
    return "no press differs from another, and the timings state no uncertainty of their instants: "
           "nothing says how far the difference of " +
           fixed(difference.difference_ms, 1) +
           " ms may be off. State the capture rate, or the instants' uncertainties.";
  }
  if (difference.n_a < 2 || difference.n_b < 2) {
    return one_press_sentence(difference, a, b);
  }
  return statistics::sentence(*difference.verdict, a, b);
}

std::string delivery_sentence(const PairComparison& pair, const std::string& a,
                              const std::string& b) {
  if (const std::optional<PortionDifference>& known = pair.differences[Portion::kDelivery]) {
    return "Delivery: " + verdict_sentence(*known, a, b);
  }
  if (!pair.differences[Portion::kRemainder]) {
    return "";
  }
  if (const PortionDifference* by_remainder = pair.delivery_by_remainder()) {
    return "Delivery, supposing that the screen portion is the same in both: " +
           verdict_sentence(*by_remainder, a, b) +
           " The supposition stands on the logs: host, display, mode, patch and pacing agree, so "
           "the difference of the remainders is that of the deliveries.";
  }
  return "The difference of the remainders is not that of the deliveries, since the screen portion "
         "need not be the same in both: " +
         joined(pair.screen_differences) + ".";
}

}  // namespace thumblight::report
