#pragma once

#include <algorithm>
#include <deque>
#include <set>
#include <vector>

#include "harness/run/clock.hpp"
#include "harness/run/input.hpp"
#include "harness/run/lamp.hpp"
#include "harness/run/run.hpp"
#include "harness/run/screen.hpp"
#include "harness/session/error.hpp"
#include "harness/session/writer.hpp"

/// A machine of made-up, exact times: nothing sleeps, and every run is the same.
namespace thumblight::test {

using harness::Control;
using harness::Happening;
using harness::kMillisecond_ns;
using harness::kSecond_ns;
using harness::Source;

class FakeClock : public harness::Clock {
 public:
  std::int64_t now_ns() override { return time_ns; }
  std::int64_t time_ns = kSecond_ns;
};

inline Control key(int code) {
  return {Source::kKey, code, 0, {}};
}

/// Events come at their moments whether or not somebody looks; each is stamped when it is pumped,
/// as a real one is.
class FakeInput : public harness::Input {
 public:
  explicit FakeInput(FakeClock& clock) : clock_(clock) {}

  /// To be called in the order of time.
  void at(std::int64_t time_ns, Happening happening, const Control& control) {
    script_.push_back({happening, control, time_ns});
  }
  void tap(std::int64_t time_ns, const Control& control,
           std::int64_t hold_ns = 30 * kMillisecond_ns) {
    at(time_ns, Happening::kDown, control);
    at(time_ns + hold_ns, Happening::kUp, control);
  }

  void pump() override {
    while (!script_.empty() && script_.front().arrival_ns <= clock_.time_ns) {
      harness::InputEvent event = script_.front();
      script_.pop_front();
      event.arrival_ns = clock_.time_ns;
      ready_.push_back(event);
    }
  }
  void wait_until(std::int64_t deadline_ns) override {
    pump();
    if (ready_.empty()) {
      advance_to_next(deadline_ns);
    }
  }
  void collect_until(std::int64_t deadline_ns) override {
    pump();
    while (clock_.time_ns < deadline_ns) {
      advance_to_next(deadline_ns);
    }
  }
  std::optional<harness::InputEvent> take() override {
    if (ready_.empty()) {
      return std::nullopt;
    }
    const harness::InputEvent event = ready_.front();
    ready_.pop_front();
    return event;
  }
  bool exhausted() const { return script_.empty(); }

 private:
  void advance_to_next(std::int64_t deadline_ns) {
    const std::int64_t next_ns =
        script_.empty() ? deadline_ns : std::min(deadline_ns, script_.front().arrival_ns);
    clock_.time_ns = std::max(clock_.time_ns, next_ns);
    pump();
  }

  FakeClock& clock_;
  std::deque<harness::InputEvent> script_;
  std::deque<harness::InputEvent> ready_;
};

/// A screen whose drawing takes a stated time. With vsync, present returns at the next multiple of
/// the interval.
class FakeScreen : public harness::Screen {
 public:
  struct Frame {
    std::optional<int> level;
    harness::FrameTimes times;
    harness::Page page;
  };

  explicit FakeScreen(FakeClock& clock, bool vsync = true) : clock_(clock), vsync_(vsync) {}

  harness::Size size() const override { return {1280, 720}; }
  void set_page(const harness::Page& page) override { page_ = page; }
  harness::FrameTimes show(std::optional<int> level) override {
    clock_.time_ns += draw_ns;
    harness::FrameTimes times;
    times.submit_ns = clock_.time_ns;
    if (vsync_) {
      clock_.time_ns += interval_ns - clock_.time_ns % interval_ns;
    }
    times.present_ns = clock_.time_ns;
    frames.push_back({level, times, page_});
    return times;
  }

  std::int64_t draw_ns = 200'000;
  std::int64_t interval_ns = 16'000'000;
  std::vector<Frame> frames;

 private:
  FakeClock& clock_;
  bool vsync_;
  harness::Page page_;
};

/// A lamp whose switching takes a stated time, and fails at the switches named.
class FakeLamp : public harness::Lamp {
 public:
  struct Switch {
    bool on = false;
    std::int64_t told_ns = 0;
  };

  explicit FakeLamp(FakeClock& clock) : clock_(clock) {}

  void switch_to(bool on) override {
    switches.push_back({on, clock_.time_ns});
    clock_.time_ns += takes_ns;
    if (failing.count(switches.size() - 1) > 0) {
      throw Error("lamp: pulled out");
    }
  }

  std::int64_t takes_ns = 50'000;
  std::set<std::size_t> failing;
  std::vector<Switch> switches;  ///< tried, in order of time

 private:
  FakeClock& clock_;
};

/// Keeps every record.
class FakeLog : public session::Sink {
 public:
  void write(const session::Record& record) override {
    in_order.push_back(record);
    std::visit([this](const auto& one) { keep(one); }, record);
  }
  session::Log log;
  std::vector<session::Record> in_order;

 private:
  void keep(const session::Header& r) { log.header = r; }
  void keep(const session::Press& r) { log.presses.push_back(r); }
  void keep(const session::Dark& r) { log.darks.push_back(r); }
  void keep(const session::Lamp& r) { log.lamps.push_back(r); }
  void keep(const session::Exchange& r) { log.exchanges.push_back(r); }
  void keep(const session::Pace& r) { log.paces.push_back(r); }
  void keep(const session::Device& r) { log.devices.push_back(r); }
  void keep(const session::Focus& r) { log.focuses.push_back(r); }
  void keep(const session::End& r) { log.end = r; }
};

/// Knows one device again by its instance.
class FakeDevices : public harness::DeviceMatcher {
 public:
  bool same_device(int instance) override { return instance == same; }
  int same = -1;
};

/// All of it together, with ordinary settings: presses of key 44, half a second from flash to
/// flash.
struct FakeWorld {
  explicit FakeWorld(bool vsync = true) : screen(clock, vsync) {
    settings.control = key(44);
    settings.control_name = "Space";
    settings.log_name = "key:space";
    settings.device_name = "Pad";
    settings.patch = {440, 260, 400, 200};
    settings.hold_ns = 150 * kMillisecond_ns;
    settings.rest_ns = 300 * kMillisecond_ns;
    settings.interval_ns = 16'000'000;
  }

  harness::RunSummary run() {
    harness::Run run(settings, clock, input, screen, log, devices, has_lamp ? &lamp : nullptr);
    run.arm();
    return run.execute();
  }

  FakeClock clock;
  FakeInput input{clock};
  FakeScreen screen;
  FakeLog log;
  FakeDevices devices;
  FakeLamp lamp{clock};
  bool has_lamp = false;
  harness::RunSettings settings;
};

}  // namespace thumblight::test
