#include "analysis/review/trace_feed.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>

#include "analysis/recording/transfer.hpp"
#include "analysis/review/frame_view.hpp"

namespace thumblight::review {
namespace {

double brightest(const recording::Coding& coding) {
  const std::vector<float> table = recording::linear_light_table(coding);
  return std::max(1.0F, *std::max_element(table.begin(), table.end()));
}

/// Centre of a cell in the upright picture.
Point upright_centre(const recording::GridLayout& layout, int cell, int clockwise_deg) {
  const double x = layout.centre_x(cell);
  const double y = layout.centre_y(cell);
  switch (clockwise_deg) {
    case 90:
      return {layout.height - y, x};
    case 180:
      return {layout.width - x, layout.height - y};
    case 270:
      return {y, layout.width - x};
    default:
      return {x, y};
  }
}

/// Goes through the frames' cells and makes a region's trace of them.
class TraceMaker {
 public:
  TraceMaker(std::vector<std::size_t> cells, std::size_t per_frame)
      : cells_(std::move(cells)), per_frame_(per_frame) {}

  void take(const std::vector<float>& levels) {
    for (std::size_t at = 0; at < levels.size(); at += per_frame_) {
      take_frame(levels.data() + at);
    }
  }
  const Trace& trace() const { return trace_; }

 private:
  void take_frame(const float* frame) {
    const bool is_first = before_.empty();
    before_.resize(cells_.size());
    float sum = 0;
    float change = 0;
    for (std::size_t i = 0; i < cells_.size(); ++i) {
      const float now = frame[cells_[i]];
      sum += now;
      change += is_first ? 0 : std::abs(now - before_[i]);
      before_[i] = now;
    }
    trace_.level.push_back(sum / static_cast<float>(cells_.size()));
    trace_.change.push_back(change / static_cast<float>(cells_.size()));
  }

  std::vector<std::size_t> cells_;
  std::size_t per_frame_;
  std::vector<float> before_;
  Trace trace_;
};

bool same(const onset::Region& one, const onset::Region& other) {
  return one.x == other.x && one.y == other.y && one.w == other.w && one.h == other.h;
}

}  // namespace

TraceFeed::TraceFeed(const ReviewedFrames& film, std::function<bool()> waits)
    : film_(film),
      waits_(std::move(waits)),
      layout_(recording::grid_for(film.index.info.width, film.index.info.height)),
      levels_(std::make_unique<recording::CellStore>(layout_.cells(),
                                                     brightest(film.index.info.coding))),
      thread_([this] { work(); }) {}

TraceFeed::~TraceFeed() {
  ended_ = true;
  thread_.join();
}

void TraceFeed::work() {
  try {
    const auto source = recording::open_frames(film_.recording, 1);
    recording::CellGrid grid(layout_, film_.index.info.coding);
    recording::Frame frame;
    while (!ended_ && source->next(frame)) {
      {
        const std::lock_guard lock(mutex_);
        levels_->append(grid.measure(frame.luma));
      }
      ++read_;
      while (!ended_ && waits_()) {
        std::this_thread::sleep_for(std::chrono::milliseconds(2));
      }
    }
  } catch (const std::exception& error) {
    const std::lock_guard lock(mutex_);
    fault_ = error.what();
  }
}

std::string TraceFeed::fault() const {
  const std::lock_guard lock(mutex_);
  return fault_;
}

std::vector<std::size_t> TraceFeed::cells_in(const onset::Region& upright) const {
  std::vector<std::size_t> cells;
  std::size_t nearest = 0;
  double least = INFINITY;
  for (int cell = 0; cell < layout_.cells(); ++cell) {
    const Point centre = upright_centre(layout_, cell, film_.index.info.rotation_deg);
    if (Box{upright.x, upright.y, upright.w, upright.h}.holds(centre)) {
      cells.push_back(static_cast<std::size_t>(cell));
    }
    const double distance =
        std::hypot(centre.x - upright.x - upright.w / 2, centre.y - upright.y - upright.h / 2);
    if (distance < least) {
      least = distance;
      nearest = static_cast<std::size_t>(cell);
    }
  }
  return cells.empty() ? std::vector<std::size_t>{nearest} : cells;
}

Trace TraceFeed::trace(const onset::Region& upright, std::int64_t first) const {
  TraceMaker maker(cells_in(upright), static_cast<std::size_t>(layout_.cells()));
  constexpr std::int64_t kPiece = 512;  // frames read at a time
  const std::int64_t end = read_;
  const std::int64_t begin = std::max<std::int64_t>(first - 1, 0);
  for (std::int64_t at = begin; at < end; at += kPiece) {
    std::unique_lock lock(mutex_);
    const std::vector<float> levels = levels_->read(at, std::min(kPiece, end - at));
    lock.unlock();
    maker.take(levels);
  }
  Trace trace = maker.trace();
  if (begin < first && !trace.level.empty()) {
    trace.level.erase(trace.level.begin());
    trace.change.erase(trace.change.begin());
  }
  return trace;
}

const Trace& KeptTrace::update(const TraceFeed& feed, const onset::Region& region) {
  if (!region_ || !same(*region_, region)) {
    trace_ = {};
    region_ = region;
  }
  const auto held = static_cast<std::int64_t>(trace_.level.size());
  if (held < feed.frames()) {
    const Trace more = feed.trace(region, held);
    trace_.level.insert(trace_.level.end(), more.level.begin(), more.level.end());
    trace_.change.insert(trace_.change.end(), more.change.begin(), more.change.end());
  }
  return trace_;
}

}  // namespace thumblight::review
