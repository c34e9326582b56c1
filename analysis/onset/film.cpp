#include "analysis/onset/film.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "analysis/onset/quantile.hpp"
#include "analysis/recording/transfer.hpp"

namespace thumblight::onset {
namespace {

double brightest(const recording::Coding& coding) {
  const std::vector<float> table = recording::linear_light_table(coding);
  return std::max(1.0F, *std::max_element(table.begin(), table.end()));
}

float mean_change(const std::vector<float>& before, const std::vector<float>& now) {
  float sum = 0;
  for (std::size_t i = 0; i < now.size(); ++i) {
    sum += std::abs(now[i] - before[i]);
  }
  return sum / static_cast<float>(now.size());
}

/// A doubled frame changes nothing where its neighbours do. That can be told only where noise
/// survives the coder, so that ordinary frames all change by much the same.
std::vector<char> find_doubled(const std::vector<float>& changes) {
  constexpr std::int64_t kAround = 24;
  constexpr float kStill = 0.2F;
  constexpr float kEven = 0.55F;
  const auto frames = static_cast<std::int64_t>(changes.size());
  std::vector<char> doubled(changes.size(), 0);
  for (std::int64_t i = 1; i < frames; ++i) {
    const std::int64_t first = std::max<std::int64_t>(1, i - kAround);
    const std::int64_t last = std::min(frames, i + kAround + 1);
    const std::vector<float> near(changes.begin() + first, changes.begin() + last);
    const float typical = quantile_of(near, 0.5);
    const bool even = quantile_of(near, 0.15) > kEven * typical;
    doubled[static_cast<std::size_t>(i)] =
        even && typical > 1e-6F && changes[static_cast<std::size_t>(i)] < kStill * typical ? 1 : 0;
  }
  return doubled;
}

}  // namespace

bool Film::lossless() const {
  return info.codec == "ffv1" || info.codec == "rawvideo" || info.codec == "huffyuv" ||
         info.codec == "png";
}

std::int64_t Film::first_from(double time_s) const {
  return std::lower_bound(clock.time_s.begin(), clock.time_s.end(), time_s) - clock.time_s.begin();
}

Film read_film(recording::FrameSource& source, std::optional<double> capture_rate_hz,
               FrameWitness* witness, const Progress& progress) {
  Film film;
  film.info = source.info();
  film.layout = recording::grid_for(film.info.width, film.info.height);
  film.levels =
      std::make_unique<recording::CellStore>(film.layout.cells(), brightest(film.info.coding));
  recording::CellGrid grid(film.layout, film.info.coding);
  std::vector<std::int64_t> stamps;
  std::vector<float> changes;
  std::vector<float> last(static_cast<std::size_t>(film.layout.cells()), 0.0F);
  std::int64_t unstamped = 0;
  recording::Frame frame;
  while (source.next(frame)) {
    const std::vector<float>& cells = grid.measure(frame.luma);
    film.levels->append(cells);
    changes.push_back(mean_change(last, cells));
    last = cells;
    unstamped += frame.stamped ? 0 : 1;
    if (witness != nullptr) {
      witness->see(static_cast<std::int64_t>(stamps.size()), frame, cells);
    }
    stamps.push_back(frame.stamp);
    if (progress && stamps.size() % 64 == 0) {
      progress(static_cast<double>(stamps.size()), film.info.expected_frames);
    }
  }
  film.faults = source.faults();
  film.clock = recording::make_frame_clock(film.info, stamps, unstamped, capture_rate_hz);
  film.doubled = find_doubled(changes);
  return film;
}

}  // namespace thumblight::onset
