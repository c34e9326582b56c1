#include "analysis/report/terminal_timings.hpp"

#include <cmath>
#include <map>
#include <optional>

#include "analysis/report/numbers.hpp"
#include "analysis/report/wrap.hpp"

namespace thumblight::report {
namespace {

using onset::Instant;
using Member = std::optional<Instant> onset::PressTiming::*;

std::string milliseconds(double time_s, double u_s) {
  return fixed(1e3 * time_s, decimals_for(1e3 * u_s)) + " ms";
}

/// A time that is stated or has no uncertainty of its own, to a hundredth.
std::string milliseconds(double time_s) {
  return fixed(1e3 * time_s, 2) + " ms";
}

std::string rate(double rate_hz) {
  return fixed(rate_hz, rate_hz < 1000 ? 2 : 0);
}

std::string clock_line(const onset::RecordingInfo& recording) {
  std::string text = printable(recording.file);
  if (recording.camera) {
    text += ": " + std::to_string(recording.camera->frames) + " frames";
  }
  if (recording.clock.rate_hz) {
    text += (recording.camera ? ", " : ": ") + rate(*recording.clock.rate_hz) + " a second";
  }
  if (!recording.clock.why.empty()) {
    text += " (" + printable(recording.clock.why) + ")";
  }
  return wrap(text);
}

/// How many instants were found by each means, and their root mean square uncertainty.
struct Found {
  int n = 0;
  int known = 0;
  double u2_s2 = 0;
};

std::map<std::string, Found> count(const onset::Timings& timings, Member member) {
  std::map<std::string, Found> found;
  for (const onset::PressTiming& press : timings.presses) {
    if (const std::optional<Instant>& instant = press.*member) {
      Found& means = found[instant->how];
      ++means.n;
      means.known += instant->u_s ? 1 : 0;
      means.u2_s2 += instant->u_s ? *instant->u_s * *instant->u_s : 0;
    }
  }
  return found;
}

std::string words_of(const std::string& how) {
  static const std::map<std::string, std::string> kWords = {{"lamp", "by the lamp on the button"},
                                                            {"finger", "by the finger's movement"},
                                                            {"sound", "by the click in the sound"},
                                                            {"contact", "by the contact"},
                                                            {"step", "by the patch's step"},
                                                            {"change", "by the screen's change"},
                                                            {"mark", "marked by hand"}};
  const auto found = kWords.find(how);
  return found == kWords.end() ? "by " + printable(how) : found->second;
}

std::string instants_line(const onset::Timings& timings, Member member, const std::string& what,
                          const std::string& criterion) {
  std::string text;
  for (const auto& [how, found] : count(timings, member)) {
    text += (text.empty() ? "" : ", ") + std::to_string(found.n) + ' ' + words_of(how) + criterion;
    if (found.known > 0) {
      const double u_s = std::sqrt(found.u2_s2 / found.known);
      text += ", standard uncertainty of one " + milliseconds(u_s, u_s);
    }
  }
  return wrap(what + ": " + (text.empty() ? "none" : text));
}

std::string light_line(const onset::LightInfo& light) {
  std::string text;
  if (light.rise_s) {
    text = "rise from 10 to 90 %: " + milliseconds(*light.rise_s, light.rise_u_s.value_or(1e-4));
  } else if (light.rise_below_s) {
    text = "rise from 10 to 90 %: under " + milliseconds(*light.rise_below_s) +
           ", which is all that this recording resolves";
  }
  if (light.scan_s) {
    text += (text.empty() ? "" : "; ") + std::string("scan-out over the patch: ") +
            milliseconds(std::abs(*light.scan_s)) + (*light.scan_s < 0 ? " upwards" : "");
  }
  return text.empty() ? "" : wrap(text);
}

std::string camera_line(const onset::CameraInfo& camera) {
  std::string text;
  if (camera.exposure_s) {
    const double u_s = camera.exposure_u_s.value_or(1e-5);
    text = "exposure " + milliseconds(*camera.exposure_s, u_s) + " (" +
           printable(camera.exposure_source) + ")";
  }
  if (camera.readout_s && camera.readout_source != "unknown") {
    text += (text.empty() ? "" : ", ") + std::string("readout ") + milliseconds(*camera.readout_s) +
            " (" + printable(camera.readout_source) + ")";
  }
  return text.empty() ? "" : wrap("camera: " + text);
}

std::string criterion_of(const onset::RecordingInfo& recording) {
  return recording.light ? " (" + fixed(100 * recording.light->threshold, 0) + " % of it)" : "";
}

}  // namespace

std::string terminal_timings(const onset::Timings& timings) {
  std::string text = clock_line(timings.recording);
  text += instants_line(timings, &onset::PressTiming::press, "presses", "");
  text +=
      instants_line(timings, &onset::PressTiming::light, "lights", criterion_of(timings.recording));
  if (timings.recording.light) {
    text += light_line(*timings.recording.light);
  }
  if (timings.recording.camera) {
    text += camera_line(*timings.recording.camera);
  }
  return text;
}

}  // namespace thumblight::report
