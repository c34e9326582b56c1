#include "analysis/onset/video_work.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "analysis/recording/transfer.hpp"

namespace thumblight::onset {
namespace {

constexpr double kCoarse_hz = 100;

LightInfo light_info(const VideoWork& work, double threshold) {
  LightInfo info;
  info.threshold = threshold;
  const double rise_s = rise_time_s(work.fitted.light.model.shape);
  const double u_s = work.fitted.rise_u_s;
  if (work.pulsed) {
    info.rise_below_s =
        work.film.clock.interval_s;  // what the fit calls a rise is a pulse's fading
  } else if (rise_s > 2 * u_s && rise_s > 1e-4) {
    info.rise_s = rise_s;
    info.rise_u_s = u_s;
  } else {
    info.rise_below_s = rise_s + 2 * std::max(u_s, 5e-5);
  }
  const StepModel& model = work.fitted.light.model;
  const double along_y = model.slope_y + work.readout.downward_s() / work.film.info.height;
  const bool upright = std::abs(along_y) >= std::abs(model.slope_x);
  const double cells_down = work.patch.height_px > 0 ? 1.2 : 0;
  const double cells_across = work.patch.width_px > 0 ? 1.33 : 0;
  if (work.readout.source != "unknown" || !upright) {
    info.scan_s = upright ? along_y * work.patch.height_px * cells_down
                          : model.slope_x * work.patch.width_px * cells_across;
  }
  return info;
}

CameraInfo camera_info(const VideoWork& work, const Request& request) {
  const Film& film = work.film;
  CameraInfo info;
  info.frames = film.frames();
  info.dropped = film.clock.dropped;
  info.doubled = std::count(film.doubled.begin(), film.doubled.end(), 1);
  info.odd_stamps = film.clock.odd_stamps;
  info.faults = film.faults;
  info.steady = film.clock.steady;
  const bool sideways = film.info.rotation_deg == 90 || film.info.rotation_deg == 270;
  info.width = sideways ? film.info.height : film.info.width;
  info.height = sideways ? film.info.width : film.info.height;
  info.rotation_deg = film.info.rotation_deg;
  info.codec = film.info.codec;
  info.transfer = recording::transfer_name(film.info.coding.transfer);
  info.full_range = film.info.coding.full_range;
  info.bit_depth = film.info.coding.bit_depth;
  if (work.fitted.lamp.model.exposure_s > 0) {
    info.exposure_s = work.fitted.lamp.model.exposure_s;
    info.exposure_u_s = work.fitted.exposure_u_s;
    info.exposure_source = request.setup.exposure_share ? "stated" : "estimated";
  }
  info.readout_source = work.readout.source;
  info.bottom_row_first = request.setup.bottom_row_first;
  if (work.readout.source != "unknown") {
    info.readout_s = work.readout.time_s;
  }
  info.patch = work.change ? *work.change : upright_bounds(work.sights.patch->cells, film);
  if (!work.press_cells.empty()) {
    info.press = upright_bounds(work.press_cells, film);
  }
  if (work.sights.host_lamp) {
    info.lamp = upright_bounds(work.sights.host_lamp->cells, film);
  }
  return info;
}

void warn_of_readout(VideoWork& work) {
  if (work.readout.source != "unknown" || !work.button_filmed()) {
    return;
  }
  const int height_px = work.film.info.height;
  const double u_s = std::abs(work.readout.delay_u_s(work.patch.centre_y_px, height_px) -
                              work.readout.delay_u_s(work.press_y_px, height_px));
  if (u_s > 5e-5) {
    work.warn(WarningCode::kReadoutUnknown,
              "the total may be off by " + text_of(1e3 * u_s, "%.2f") + " ms (standard)");
  }
}

void warn_of_clock(VideoWork& work, const ScheduleFit* schedule) {
  const recording::FrameClock& clock = work.film.clock;
  if (clock.source == "capture-rate") {
    work.warn(WarningCode::kCaptureRateAssumed, clock.why);
  }
  if (schedule == nullptr || schedule->pairs.size() < 5) {
    return;
  }
  const double off = schedule->rate - 1;
  constexpr double kClocksDiffer = 5e-4;  // quartz clocks agree to a tenth of this
  if (std::abs(off) > kClocksDiffer && std::abs(off) > 3 * schedule->rate_u) {
    work.warn(WarningCode::kRateAgainstLog,
              "one second of the recording is " + text_of(schedule->rate, "%.6g") +
                  " s of the log's, so the true rate is about " +
                  text_of(1 / (clock.interval_s * schedule->rate), "%.6g") + " a second");
  }
}

void warn_of_frames(VideoWork& work) {
  const recording::FrameClock& clock = work.film.clock;
  const auto doubled = std::count(work.film.doubled.begin(), work.film.doubled.end(), 1);
  if (clock.dropped > 0 && clock.steady) {
    work.warn(WarningCode::kFramesDropped, std::to_string(clock.dropped));
  }
  if (doubled > 0) {
    work.warn(WarningCode::kFramesDoubled, std::to_string(doubled));
  }
  if (!clock.steady) {
    work.warn(WarningCode::kFramesUneven, "");
  }
  if (clock.odd_stamps > 0) {
    work.warn(WarningCode::kStampsOdd, std::to_string(clock.odd_stamps) + " of them");
  }
  constexpr double kNoticed_s = 0.02;
  if (std::abs(clock.start_s) > kNoticed_s) {
    work.warn(WarningCode::kStartOdd, text_of(clock.start_s) + " s");
  }
  const std::optional<recording::EditList>& edits = work.film.info.edits;
  if (edits && (edits->pieces > 1 || edits->pauses > 0 || edits->speed)) {
    work.warn(WarningCode::kEdited, std::to_string(edits->pieces) + " pieces, " +
                                        std::to_string(edits->pauses) + " pauses" +
                                        (edits->speed ? ", changed speed" : ""));
  }
  if (work.film.faults > 0) {
    work.warn(WarningCode::kDecodeFaults, std::to_string(work.film.faults) + " faults");
  }
  if (1 / clock.interval_s < kCoarse_hz) {
    work.warn(WarningCode::kFramesFew, text_of(1 / clock.interval_s) + " a second");
  }
}

void warn_of_light(VideoWork& work) {
  const recording::Coding& coding = work.film.info.coding;
  if (!recording::is_known_transfer(coding.transfer)) {
    work.warn(WarningCode::kTransferAssumed, "");
  }
  if (work.patch.clipped || work.lamp.clipped) {
    work.warn(WarningCode::kLevelsClipped, work.patch.clipped ? "the patch" : "the lamp");
  }
  if (work.patch.flicker) {
    work.warn(WarningCode::kFlickerRemoved, "");
  }
  if (work.pulsed) {
    work.warn(WarningCode::kLightPulsed, "");
  }
  if (work.fitted.exposure_u_s > 0.15 * work.film.clock.interval_s) {
    work.warn(WarningCode::kExposureWide, text_of(1e3 * work.fitted.lamp.model.exposure_s, "%.2f") +
                                              " ms, standard "
                                              "uncertainty " +
                                              text_of(1e3 * work.fitted.exposure_u_s, "%.2f") +
                                              " ms");
  }
}

}  // namespace

std::string text_of(double value, const char* format) {
  std::string text(48, '\0');
  const int length = std::snprintf(text.data(), text.size(), format, value);
  text.resize(static_cast<std::size_t>(std::max(length, 0)));
  return text;
}

void add_readout_doubt(VideoWork& work, std::vector<PressTiming>& presses) {
  constexpr double kLeast_s = 1e-6;
  const auto add = [&](std::optional<Instant> PressTiming::*member, const char* on, double y_px) {
    const double u_s = work.readout.delay_u_s(y_px, work.film.info.height);
    if (u_s < kLeast_s) {
      return;
    }
    work.shared.push_back({kReadout, on, u_s});
    for (PressTiming& press : presses) {
      if (std::optional<Instant>& instant = press.*member; instant && instant->u_s) {
        instant->u_s = std::hypot(*instant->u_s, u_s);
      }
    }
  };
  if (work.button_filmed()) {
    add(&PressTiming::press, "press", work.press_y_px);
  }
  add(&PressTiming::light, "light", work.patch.centre_y_px);
  if (work.sights.host_lamp) {
    add(&PressTiming::lamp, "lamp", work.host_lamp_y_px);
  }
}

void add_doubts(VideoWork& work) {
  warn_of_readout(work);
  warn_of_clock(work, work.sights.schedule ? &*work.sights.schedule : nullptr);
  warn_of_frames(work);
  warn_of_light(work);
}

void add_pair_doubts(VideoWork& work, const std::vector<PressTiming>& presses,
                     const Request& request) {
  const auto flagged = [&](const char* flag) {
    return std::count_if(presses.begin(), presses.end(), [flag](const PressTiming& press) {
      return std::find(press.flags.begin(), press.flags.end(), flag) != press.flags.end();
    });
  };
  if (work.press_from.empty()) {
    work.warn(WarningCode::kNoPressFound, "");
  } else if (flagged("no-press") > 0) {
    work.warn(WarningCode::kLightsWithoutPress, std::to_string(flagged("no-press")));
  }
  if (flagged("no-light") > 0) {
    work.warn(WarningCode::kPressesWithoutLight, std::to_string(flagged("no-light")));
  }
  if (work.sights.schedule && request.log != nullptr) {
    const std::size_t unseen =
        flash_times_s(*request.log).size() - work.sights.schedule->pairs.size();
    if (unseen > 0) {
      work.warn(WarningCode::kFlashesUnseen, std::to_string(unseen));
    }
  }
}

RecordingInfo recording_info(const VideoWork& work, const Request& request) {
  RecordingInfo info;
  info.file = work.film.info.file;
  info.kind = work.film.info.kind;
  info.clock.source = work.film.clock.source;
  info.clock.why = work.film.clock.why;
  info.clock.rate_hz = 1 / work.film.clock.interval_s;
  info.clock.nominal_hz = work.film.clock.nominal_hz;
  if (work.sights.schedule && work.sights.schedule->pairs.size() >= 3) {
    info.clock.log_rate = work.sights.schedule->rate;
    info.clock.log_rate_u = work.sights.schedule->rate_u;
  }
  info.camera = camera_info(work, request);
  if (!work.change) {
    info.light = light_info(work, request.setup.threshold);
  }
  info.shared = work.shared;
  return info;
}

}  // namespace thumblight::onset
