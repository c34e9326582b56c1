#include "analysis/timing/shared_doubts.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "analysis/timing/timebase.hpp"

namespace thumblight::timing {
namespace {

/// What the readout leaves open at each place, in seconds.
struct ReadoutDoubt {
  double press_s = 0;
  double light_s = 0;
  double lamp_s = 0;

  double total_s() const { return std::abs(light_s - press_s); }
};

bool is_readout_at(const onset::SharedDoubt& doubt, const char* on) {
  return doubt.source == onset::kReadout && doubt.on == on;
}

/// Timings of older make state the readout's doubt on the total, as any other doubt.
bool is_of_readout(const onset::SharedDoubt& doubt) {
  return is_readout_at(doubt, "press") || is_readout_at(doubt, "light") ||
         is_readout_at(doubt, "lamp");
}

ReadoutDoubt readout_doubt(const onset::RecordingInfo& recording) {
  ReadoutDoubt readout;
  for (const onset::SharedDoubt& doubt : recording.shared) {
    readout.press_s = is_readout_at(doubt, "press") ? doubt.u_s : readout.press_s;
    readout.light_s = is_readout_at(doubt, "light") ? doubt.u_s : readout.light_s;
    readout.lamp_s = is_readout_at(doubt, "lamp") ? doubt.u_s : readout.lamp_s;
  }
  return readout;
}

void take_out(double u_s, std::optional<onset::Instant>& instant) {
  if (instant && instant->u_s && !instant->passes) {
    instant->u_s = std::sqrt(std::max(0.0, *instant->u_s * *instant->u_s - u_s * u_s));
  }
}

using Errors = PerPortion<std::vector<SharedError>>;

void add(Errors& errors, Portion portion, const std::string& source, double u_s) {
  if (u_s > 0) {
    errors[portion].push_back({source, u_s * kMsPerSecond, std::nullopt});
  }
}

void add_readout(const ReadoutDoubt& readout, ClockLinkKind link, Errors& errors) {
  const double tie_s = link == ClockLinkKind::kLamp ? readout.lamp_s : 0;
  const double press_s = std::abs(readout.press_s - tie_s);
  const double light_s = std::abs(readout.light_s - tie_s);
  add(errors, Portion::kTotal, onset::kReadout, readout.total_s());
  add(errors, Portion::kRemainder, onset::kReadout, readout.total_s());
  add(errors, Portion::kDelivery, onset::kReadout, press_s);
  add(errors, Portion::kScreen, onset::kReadout, light_s);
  add(errors, Portion::kDisplay, onset::kReadout, light_s);
}

void add_other(const onset::SharedDoubt& doubt, ClockLinkKind link, Errors& errors) {
  const bool on_lamp = doubt.on == "lamp";
  if (on_lamp && link != ClockLinkKind::kLamp) {
    return;
  }
  if (doubt.on != "both" && !on_lamp) {
    add(errors, Portion::kTotal, doubt.source, doubt.u_s);
    add(errors, Portion::kRemainder, doubt.source, doubt.u_s);
  }
  if (doubt.on != "light") {
    add(errors, Portion::kDelivery, doubt.source, doubt.u_s);
  }
  if (doubt.on != "press") {
    add(errors, Portion::kScreen, doubt.source, doubt.u_s);
    add(errors, Portion::kDisplay, doubt.source, doubt.u_s);
  }
}

}  // namespace

onset::Timings without_readout_doubt(onset::Timings timings) {
  const ReadoutDoubt readout = readout_doubt(timings.recording);
  for (onset::PressTiming& press : timings.presses) {
    take_out(readout.press_s, press.press);
    take_out(readout.light_s, press.light);
    take_out(readout.lamp_s, press.lamp);
  }
  return timings;
}

SharedDoubts shared_doubts(const onset::RecordingInfo& recording) {
  const double readout_s = readout_doubt(recording).total_s();
  SharedDoubts shared{readout_s, readout_s};
  for (const onset::SharedDoubt& doubt : recording.shared) {
    if (is_of_readout(doubt) || doubt.on == "lamp") {
      continue;
    }
    // What shifts press against light may sit on either; what shifts both sits on both.
    if (doubt.on != "light") {
      shared.press_s = std::hypot(shared.press_s, doubt.u_s);
    }
    if (doubt.on != "press") {
      shared.light_s = std::hypot(shared.light_s, doubt.u_s);
    }
  }
  return shared;
}

Errors shared_errors(const onset::RecordingInfo& recording, ClockLinkKind link) {
  Errors errors;
  add_readout(readout_doubt(recording), link, errors);
  for (const onset::SharedDoubt& doubt : recording.shared) {
    if (!is_of_readout(doubt)) {
      add_other(doubt, link, errors);
    }
  }
  return errors;
}

}  // namespace thumblight::timing
