#include "analysis/review/reviewed_session.hpp"

#include <algorithm>

namespace thumblight::review {

std::int64_t ReviewedFrames::clamped(std::int64_t frame) const {
  return std::clamp<std::int64_t>(frame, 0, frames() - 1);
}

double ReviewedFrames::time_s(std::int64_t frame) const {
  return clock.time_s[static_cast<std::size_t>(clamped(frame))];
}

std::int64_t ReviewedFrames::frame_at(double t_s) const {
  constexpr double kRounding_s = 1e-9;
  const auto after = std::upper_bound(clock.time_s.begin(), clock.time_s.end(), t_s + kRounding_s);
  return clamped(after - clock.time_s.begin() - 1);
}

double ReviewedFrames::upright_width() const {
  return index.info.rotation_deg % 180 == 0 ? index.info.width : index.info.height;
}

double ReviewedFrames::upright_height() const {
  return index.info.rotation_deg % 180 == 0 ? index.info.height : index.info.width;
}

ReviewedFrames open_frames_of(const std::filesystem::path& recording,
                              std::optional<std::int64_t> counted,
                              std::optional<double> capture_rate_hz,
                              const recording::IndexProgress& progress) {
  std::optional<recording::FrameIndex> index;
  if (counted || std::filesystem::is_directory(recording)) {
    index = recording::index_by_packets(recording);
  }
  const bool agrees = index && (!counted || index->frames() == *counted);
  if (!agrees) {
    index = recording::index_by_decoding(recording, progress);
  }
  recording::FrameClock clock =
      recording::make_frame_clock(index->info, index->stamps, index->unstamped, capture_rate_hz);
  return {recording, std::move(*index), std::move(clock)};
}

marks::ChosenFrame ReviewedSession::chosen(std::int64_t frame) const {
  const std::int64_t place = film.clamped(frame);
  const double gap_s =
      place > 0 ? film.time_s(place) - film.time_s(place - 1) : film.clock.interval_s;
  return {film.time_s(place), gap_s, place};
}

}  // namespace thumblight::review
