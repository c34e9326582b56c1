#include "harness/run/frame_meter.hpp"

#include <algorithm>

namespace thumblight::harness {

std::optional<std::int64_t> median_of(std::vector<std::int64_t> values) {
  if (values.empty()) {
    return std::nullopt;
  }
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>((values.size() - 1) / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

std::optional<session::Intervals> intervals_of(const std::vector<std::int64_t>& values) {
  const auto median = median_of(values);
  if (!median) {
    return std::nullopt;
  }
  const auto [low, high] = std::minmax_element(values.begin(), values.end());
  return session::Intervals{*median, *low, *high};
}

void FrameMeter::presented(std::int64_t present_ns) {
  if (previous_ns_) {
    const std::int64_t interval = present_ns - *previous_ns_;
    ++count_;
    missed_ += interval > expected_ns_ + expected_ns_ / 2 ? 1 : 0;
    min_ns_ = std::min(min_ns_, interval);
    max_ns_ = std::max(max_ns_, interval);
    ++bins_[std::min(static_cast<std::size_t>(interval / kBin_ns), kBins - 1)];
  }
  previous_ns_ = present_ns;
}

std::optional<session::Intervals> FrameMeter::intervals() const {
  if (count_ == 0) {
    return std::nullopt;
  }
  std::int64_t seen = 0;
  std::size_t bin = 0;
  while ((seen += bins_[bin]) < (count_ + 1) / 2) {
    ++bin;
  }
  const std::int64_t centre = static_cast<std::int64_t>(bin) * kBin_ns + kBin_ns / 2;
  return session::Intervals{std::clamp(centre, min_ns_, max_ns_), min_ns_, max_ns_};
}

}  // namespace thumblight::harness
