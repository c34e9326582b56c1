#include "harness/run/run.hpp"

#include <algorithm>

namespace thumblight::harness {
namespace {

constexpr std::int64_t kHoldToEnd_ns = 3 * kSecond_ns;

bool ends_run(Source source) {
  return source == Source::kKey || source == Source::kButton || source == Source::kMouse ||
         source == Source::kTouch;
}

}  // namespace

Run::Run(const RunSettings& settings, Clock& clock, Input& input, Screen& screen,
         session::Sink& log, DeviceMatcher& devices, Lamp* lamp)
    : settings_(settings),
      clock_(clock),
      input_(input),
      screen_(screen),
      log_(log),
      devices_(devices),
      pacing_(make_pacing(settings.pacing, clock, settings.interval_ns)),
      flasher_(settings.hold_ns, settings.rest_ns,
               lamp != nullptr || counts_as_flash(settings.bright_level, settings.dark_level)),
      meter_(settings.interval_ns),
      lamp_(lamp, clock) {}

void Run::arm() {
  screen_.set_page(page());
  show(settings_.dark_level, clock_.now_ns());
  input_.pump();
  while (input_.take()) {
  }
}

RunSummary Run::execute() {
  while (end_reason_.empty()) {
    turn();
  }
  if (flasher_.is_lit()) {
    darken(clock_.now_ns());
  }
  if (waiting_) {
    waiting_->flashed = false;
    waiting_->withheld = "end";
    lamp_.darken();
    log_.write(*waiting_);
    write_lamp();
    write_held_back();
  }
  const bool continual = pacing_->continual();
  log_.write(session::Pace{frame_, continual ? std::optional(meter_.missed()) : std::nullopt,
                           continual ? meter_.intervals() : std::nullopt});
  log_.write(session::End{presses_, end_reason_});
  return summarise();
}

void Run::turn() {
  pacing_->gather(input_, next_due_ns());
  take_events();
  if (held_since_ns_ && clock_.now_ns() - *held_since_ns_ >= kHoldToEnd_ns) {
    end("stopped");
  }
  if (end_reason_.empty() && (pacing_->continual() || waiting_ || redraw_ || dark_is_due())) {
    draw();
  }
  if (complete()) {
    end("completed");
  }
}

void Run::take_events() {
  while (const auto event = input_.take()) {
    handle(*event);
  }
}

void Run::handle(const InputEvent& event) {
  switch (event.happening) {
    case Happening::kDown:
      handle_down(event);
      break;
    case Happening::kUp:
      if (event.control == settings_.control) {
        held_since_ns_.reset();
      }
      break;
    case Happening::kDeviceRemoved:
    case Happening::kDeviceAdded:
      handle_device(event);
      break;
    case Happening::kFocusGained:
    case Happening::kFocusLost:
      log_.write(session::Focus{event.happening == Happening::kFocusGained, event.arrival_ns});
      break;
    case Happening::kExposed:
      screen_.set_page(page());
      redraw_ = true;
      break;
    case Happening::kClosed:
      end("closed");
      break;
    case Happening::kInterrupted:
      end("interrupted");
      break;
  }
}

void Run::handle_down(const InputEvent& event) {
  if (event.control == settings_.control) {
    held_since_ns_ = event.arrival_ns;
    handle_press(event);
  } else if (ends_run(event.control.source)) {
    end("stopped");
  }
}

void Run::handle_press(const InputEvent& event) {
  session::Press press;
  press.index = presses_++;
  press.arrival_ns = event.arrival_ns;
  press.control = settings_.log_name;
  press.withheld = waiting_ ? "lit" : flasher_.refusal(clock_.now_ns());
  press.flashed = press.withheld.empty();
  if (press.flashed) {
    waiting_ = press;
    lamp_.light(press.index);
  } else if (waiting_) {
    held_back_.push_back(press);
  } else {
    log_.write(press);
  }
}

void Run::write_held_back() {
  for (const session::Press& press : held_back_) {
    log_.write(press);
  }
  held_back_.clear();
}

void Run::write_lamp() {
  for (const session::Lamp& record : lamp_.take_records()) {
    log_.write(record);
  }
}

void Run::handle_device(const InputEvent& event) {
  const std::optional<int> instance = event.control.device;
  const bool removed = event.happening == Happening::kDeviceRemoved;
  if (!instance || (removed ? instance != settings_.control.device || !connected_
                            : connected_ || !devices_.same_device(*instance))) {
    return;
  }
  connected_ = !removed;
  held_since_ns_.reset();
  if (connected_) {
    settings_.control.device = instance;
  }
  log_.write(session::Device{connected_, event.arrival_ns, settings_.device_name});
  screen_.set_page(page());
  meter_.interrupt();
  redraw_ = true;
}

void Run::draw() {
  const std::int64_t begun_ns = clock_.now_ns();
  if (waiting_) {
    const session::Press press = *waiting_;
    waiting_.reset();
    light(press, begun_ns);
  } else if (dark_is_due()) {
    darken(begun_ns);
  } else {
    show(flasher_.is_lit() ? settings_.bright_level : settings_.dark_level, begun_ns);
  }
}

void Run::light(session::Press press, std::int64_t begun_ns) {
  const FrameTimes times = show(settings_.bright_level, begun_ns);
  flasher_.lit(times.submit_ns);
  lit_index_ = press.index;
  ++flashed_;
  press.submit_ns = times.submit_ns;
  press.present_ns = times.present_ns;
  press.frame = frame_;
  log_.write(press);
  write_lamp();
  write_held_back();
  render_ns_.push_back(times.submit_ns - press.arrival_ns);
}

void Run::darken(std::int64_t begun_ns) {
  // The count changes with the dark edge, so that nothing but the patch changes with the bright
  // one.
  screen_.set_page(page());
  lamp_.darken();
  const FrameTimes times = show(settings_.dark_level, begun_ns);
  flasher_.darkened(times.present_ns);
  log_.write(session::Dark{lit_index_, times.submit_ns, times.present_ns, frame_});
  write_lamp();
}

FrameTimes Run::show(int level, std::int64_t begun_ns) {
  redraw_ = false;
  const FrameTimes times = screen_.show(
      connected_ || level == settings_.bright_level ? std::optional(level) : std::nullopt);
  ++frame_;
  meter_.presented(times.present_ns);
  pacing_->drew(begun_ns, times);
  return times;
}

void Run::end(const std::string& reason) {
  if (end_reason_.empty()) {
    end_reason_ = reason;
  }
}

bool Run::dark_is_due() const {
  const auto due_ns = flasher_.dark_due_ns();
  return due_ns && clock_.now_ns() >= *due_ns;
}

bool Run::complete() const {
  return settings_.presses_wanted > 0 && flashed_ >= settings_.presses_wanted && !flasher_.is_lit();
}

std::optional<std::int64_t> Run::next_due_ns() const {
  std::optional<std::int64_t> due_ns = flasher_.dark_due_ns();
  if (held_since_ns_) {
    const std::int64_t end_ns = *held_since_ns_ + kHoldToEnd_ns;
    due_ns = due_ns ? std::min(*due_ns, end_ns) : end_ns;
  }
  return due_ns;
}

Page Run::page() const {
  if (!connected_) {
    return paused_page(screen_.size(), settings_.device_name);
  }
  return armed_page(screen_.size(), settings_.patch,
                    {flashed_, settings_.presses_wanted, settings_.control_name,
                     settings_.control.source == Source::kKey});
}

RunSummary Run::summarise() const {
  RunSummary summary;
  summary.presses = presses_;
  summary.flashed = flashed_;
  if (const auto render = intervals_of(render_ns_)) {
    summary.render_median_ms = static_cast<double>(render->median_ns) / kMillisecond_ns;
    summary.render_min_ms = static_cast<double>(render->min_ns) / kMillisecond_ns;
    summary.render_max_ms = static_cast<double>(render->max_ns) / kMillisecond_ns;
  }
  if (pacing_->continual()) {
    summary.missed_frames = meter_.missed();
  }
  summary.lamp_failures = lamp_.failures();
  summary.lamp_fault = lamp_.first_fault();
  summary.reason = end_reason_;
  return summary;
}

}  // namespace thumblight::harness
