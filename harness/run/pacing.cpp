#include "harness/run/pacing.hpp"

#include <algorithm>

namespace thumblight::harness {
namespace {

/// Idle until an event or a due time comes; frames are drawn only where something changes.
class OnPress : public Pacing {
 public:
  explicit OnPress(Clock& clock) : clock_(clock) {}

  void gather(Input& input, std::optional<std::int64_t> due_ns) override {
    input.wait_until(due_ns.value_or(clock_.now_ns() + kSecond_ns));
  }
  bool continual() const override { return false; }
  void drew(std::int64_t, const FrameTimes&) override {}

 private:
  Clock& clock_;
};

/// Draws each refresh and takes events until just before the predicted one: as late as drawing
/// has lately allowed. The prediction is the last return of present plus a little less than the
/// interval, so that frames creep earlier until present blocks and so ties them to the refresh.
class EveryFrame : public Pacing {
 public:
  EveryFrame(Clock& clock, std::int64_t interval_ns)
      : interval_ns_(interval_ns - interval_ns / 1000), last_present_ns_(clock.now_ns()) {}

  void gather(Input& input, std::optional<std::int64_t>) override {
    const std::int64_t lead_ns = std::min(kMargin_ns + drawing_ns_, interval_ns_ / 2);
    input.collect_until(last_present_ns_ + interval_ns_ - lead_ns);
  }
  bool continual() const override { return true; }

  void drew(std::int64_t begun_ns, const FrameTimes& times) override {
    const std::int64_t took_ns = times.submit_ns - begun_ns;
    // Up at once, down slowly: one long frame costs a little waiting, one late frame a whole
    // refresh.
    drawing_ns_ = std::max(took_ns, drawing_ns_ - drawing_ns_ / 64);
    last_present_ns_ = times.present_ns;
  }

 private:
  static constexpr std::int64_t kMargin_ns = 1 * kMillisecond_ns;

  std::int64_t interval_ns_;
  std::int64_t last_present_ns_;
  std::int64_t drawing_ns_ = 0;
};

/// Takes events once a frame, then draws and blocks in present: an ordinary game loop.
/// Without vsync nothing blocks, and it draws as fast as it can.
class FrameStart : public Pacing {
 public:
  void gather(Input& input, std::optional<std::int64_t>) override { input.pump(); }
  bool continual() const override { return true; }
  void drew(std::int64_t, const FrameTimes&) override {}
};

}  // namespace

std::string_view name_of(PacingKind kind) {
  switch (kind) {
    case PacingKind::kOnPress:
      return "on-press";
    case PacingKind::kEveryFrame:
      return "every-frame";
    case PacingKind::kFrameStart:
      return "frame-start";
  }
  return "";
}

std::unique_ptr<Pacing> make_pacing(PacingKind kind, Clock& clock, std::int64_t interval_ns) {
  switch (kind) {
    case PacingKind::kEveryFrame:
      return std::make_unique<EveryFrame>(clock, interval_ns);
    case PacingKind::kFrameStart:
      return std::make_unique<FrameStart>();
    case PacingKind::kOnPress:
      break;
  }
  return std::make_unique<OnPress>(clock);
}

}  // namespace thumblight::harness
