#include "analysis/rehearsal/truth.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/rehearsal/delivery.hpp"
#include "analysis/rehearsal/program.hpp"
#include "analysis/rehearsal/random.hpp"

namespace thumblight::rehearsal {

namespace {

Moment moment(const ClockPair& clocks, double bench_s) {
  return {bench_s, clocks.recording_s(bench_s), clocks.host_ns(bench_s)};
}

/// An instant that the host stamped: it falls on a whole nanosecond of its clock.
Moment stamped(const ClockPair& clocks, double bench_s) {
  return moment(clocks, clocks.bench_from_host_s(clocks.host_ns(bench_s)));
}

double centre_row(const Settings& settings) {
  const DisplaySettings& display = settings.display;
  const GameSettings& game = settings.game;
  const double x = display.patch_x + 0.5 * display.patch_w;
  const double y = game.kind == GameKind::kNone ? display.patch_y + 0.5 * display.patch_h
                                                : game.actor_y + 0.5 * game.actor_h;
  switch (display.scan) {
    case ScanDirection::kUp:
      return 1.0 - y;
    case ScanDirection::kRight:
      return x;
    case ScanDirection::kLeft:
      return 1.0 - x;
    case ScanDirection::kDown:
      break;
  }
  return y;
}

/// When the contact closes first, press by press.
std::vector<double> contact_times(const PressSettings& settings, Random& random) {
  std::vector<double> times;
  double t_s = settings.first_s;
  for (std::int64_t k = 0; k < settings.count; ++k) {
    times.push_back(t_s);
    if (random.chance(settings.repeat_share) && k + 1 < settings.count) {
      times.push_back(t_s + settings.repeat_after_s);
      ++k;
    }
    t_s += random.uniform(settings.gap_min_s, settings.gap_max_s);
  }
  return times;
}

/// Runs the presses through the bench one after another.
class Course {
 public:
  explicit Course(Truth& truth)
      : truth_(truth),
        settings_(truth.settings),
        finger_random_(settings_.seed, Stream::kFinger),
        bounce_random_(settings_.seed, Stream::kBounce),
        lamp_random_(settings_.seed, Stream::kLamp),
        delivery_(settings_.delivery, settings_.seed),
        program_(settings_.host, truth.refresh, settings_.seed),
        panel_(settings_.display, truth.refresh, {}) {}

  void press(double contact_s, double next_contact_s) {
    PressTruth press;
    press.index = static_cast<std::int64_t>(truth_.presses.size());
    move_finger(press, contact_s);
    close_contact(press, contact_s, next_contact_s);
    press.arrival = stamp(std::max(delivery_.arrival_s(contact_s), last_arrival_s_ + 1e-6));
    last_arrival_s_ = press.arrival.bench_s;
    if (press.arrival.bench_s > ready_s_) {
      flash(press);
    }
    truth_.presses.push_back(std::move(press));
  }

 private:
  Moment at(double bench_s) const { return moment(truth_.clocks, bench_s); }
  Moment stamp(double bench_s) const { return stamped(truth_.clocks, bench_s); }

  void move_finger(PressTruth& press, double contact_s) {
    const PressSettings& set = settings_.press;
    press.contact = at(contact_s);
    press.finger_start =
        at(contact_s - finger_random_.uniform(set.finger_lead_min_s, set.finger_lead_max_s));
    press.finger_end =
        at(contact_s + finger_random_.uniform(set.finger_follow_min_s, set.finger_follow_max_s));
  }

  void close_contact(PressTruth& press, double contact_s, double next_contact_s) {
    const PressSettings& set = settings_.press;
    std::vector<double> edges = {contact_s};
    for (std::int64_t k = 0; k < 2 * set.bounces; ++k) {
      edges.push_back(contact_s + bounce_random_.uniform(0.0, set.bounce_s));
    }
    std::sort(edges.begin(), edges.end());
    const double latest_s = next_contact_s - 0.5 * set.repeat_after_s;
    press.release = at(std::min(contact_s + set.contact_hold_s, latest_s));
    edges.push_back(press.release.bench_s);
    for (std::size_t k = 0; k < edges.size(); ++k) {
      press.edges.push_back({at(edges[k]), k % 2 == 0});
    }
  }

  void flash(PressTruth& press) {
    Flash flash;
    const Drawn bright = program_.draw(press.arrival.bench_s);
    const Drawn dark = program_.draw(bright.submit_s + settings_.host.hold_s);
    flash.submit = stamp(bright.submit_s);
    flash.present = stamp(bright.present_s);
    flash.flip = at(bright.flip_s);
    flash.dark_submit = stamp(dark.submit_s);
    flash.dark_present = stamp(dark.present_s);
    flash.dark_flip = at(dark.flip_s);
    flash.frame = bright.frame;
    flash.dark_frame = dark.frame;
    const double row = truth_.patch_row;
    flash.light = at(panel_.rise_reaches_s(bright.flip_s, row, 0.1));
    flash.light_50 = at(panel_.rise_reaches_s(bright.flip_s, row, 0.5));
    flash.light_90 = at(panel_.rise_reaches_s(bright.flip_s, row, 0.9));
    flash.dark_light = at(panel_.fall_reaches_s(dark.flip_s, row, 0.1));
    if (settings_.game.kind == GameKind::kNone) {
      truth_.changes.push_back({bright.flip_s, true});
      truth_.changes.push_back({dark.flip_s, false});
    }
    ready_s_ = dark.submit_s + settings_.host.rest_s;
    if (settings_.lamp.on_host) {
      press.lamp = switch_lamp(flash);
    }
    press.flash = flash;
  }

  HostLamp switch_lamp(const Flash& flash) {
    HostLamp lamp;
    lamp.switched_on = flash.submit;
    lamp.lit = at(lamp.switched_on.bench_s + lag_s());
    lamp.switched_off = flash.dark_submit;
    lamp.unlit = at(lamp.switched_off.bench_s + lag_s());
    return lamp;
  }

  double lag_s() {
    return lamp_random_.uniform(settings_.lamp.host_lag_min_s, settings_.lamp.host_lag_max_s);
  }

  Truth& truth_;
  const Settings& settings_;
  Random finger_random_;
  Random bounce_random_;
  Random lamp_random_;
  Delivery delivery_;
  Program program_;
  Panel panel_;
  double last_arrival_s_ = 0.0;  ///< events keep their order
  double ready_s_ = 0.0;         ///< the harness takes the next press after this
};

double last_event_s(const Truth& truth) {
  double last_s = truth.settings.press.first_s;
  for (const PressTruth& press : truth.presses) {
    last_s = std::max(last_s, press.release.bench_s);
    if (press.flash) {
      last_s = std::max(last_s, press.flash->dark_light.bench_s);
    }
  }
  return last_s;
}

}  // namespace

Truth make_truth(const Settings& settings) {
  check(settings);
  const HostSettings& host = settings.host;
  Truth truth;
  truth.settings = settings;
  truth.recording = recording_name(settings);
  truth.clocks = ClockPair(host.theta0_ns, host.theta1, host.theta2_per_s);
  const double interval_s = 1.0 / settings.display.refresh_hz;
  Random display_random(settings.seed, Stream::kDisplay);
  truth.refresh = {display_random.uniform(0.0, interval_s), interval_s};
  if (settings.display.pwm_hz > 0.0) {
    truth.pwm_phase_s = display_random.uniform(0.0, 1.0 / settings.display.pwm_hz);
  }
  truth.patch_row = centre_row(settings);
  truth.rise_s = settings.display.panel == PanelKind::kTube ? 0.0 : settings.display.rise_s;
  truth.scanout_s = settings.display.scanout_share * interval_s;
  Random press_random(settings.seed, Stream::kPresses);
  const std::vector<double> contacts = contact_times(settings.press, press_random);
  Course course(truth);
  for (std::size_t k = 0; k < contacts.size(); ++k) {
    course.press(contacts[k], k + 1 < contacts.size() ? contacts[k + 1] : 1e12);
  }
  truth.end_s = truth.clocks.recording_s(last_event_s(truth) + settings.camera.lead_out_s);
  return truth;
}

Panel make_panel(const Truth& truth) {
  return {truth.settings.display, truth.refresh, truth.changes, truth.pwm_phase_s};
}

}  // namespace thumblight::rehearsal
