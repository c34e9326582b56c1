#include "analysis/report/page/method_words.hpp"

#include <algorithm>
#include <array>
#include <map>

#include "analysis/report/mark_words.hpp"
#include "analysis/report/numbers.hpp"

namespace thumblight::report {
namespace {

using timing::ClockLinkKind;

constexpr double kMsPerSecond = 1e3;

std::string milliseconds(double value_s) {
  return shortest(value_s * kMsPerSecond) + " ms";
}

/// Words that follow one another, those that are empty left out.
std::string listed(const std::vector<std::string>& parts) {
  std::string text;
  for (const std::string& part : parts) {
    text += part.empty() || text.empty() ? part : ", " + part;
  }
  return text;
}

std::string file_words(const onset::RecordingInfo& recording) {
  const std::string kind = recording.kind.empty() ? "of unknown kind" : recording.kind;
  return recording.file.empty() ? kind : recording.file + " (" + kind + ")";
}

std::string picture_words(const onset::CameraInfo& camera) {
  return listed({std::to_string(camera.frames) + " frames",
                 std::to_string(camera.width) + " × " + std::to_string(camera.height) + " pixels",
                 camera.codec,
                 camera.dropped > 0 ? std::to_string(camera.dropped) + " dropped" : "",
                 camera.doubled > 0 ? std::to_string(camera.doubled) + " doubled" : ""});
}

std::string rate_words(const onset::RecordingInfo& recording) {
  const onset::RecordingClock& clock = recording.clock;
  if (!clock.rate_hz) {
    return "not known";
  }
  const double rate_hz = *clock.rate_hz;
  const std::string unit = recording.camera ? " images a second" : " a second";
  return fixed(rate_hz, 2) + unit + ", " + fixed(kMsPerSecond / rate_hz, 3) + " ms each" +
         (clock.why.empty() ? "" : " (" + clock.why + ")");
}

std::string exposure_ms(const onset::CameraInfo& camera) {
  const double ms = *camera.exposure_s * kMsPerSecond;
  return camera.exposure_u_s ? fixed(ms, decimals_for(*camera.exposure_u_s * kMsPerSecond))
                             : shortest(ms);
}

std::string exposure_words(const onset::CameraInfo& camera) {
  const std::string exposure =
      camera.exposure_s ? "exposure " + exposure_ms(camera) + " ms, " + camera.exposure_source
                        : "exposure not known";
  const std::string readout =
      camera.readout_s ? "readout " + milliseconds(*camera.readout_s) + ", " + camera.readout_source
                       : "readout of the rows not known";
  return exposure + "; " + readout;
}

const char* words_of(const std::string& how) {
  static const std::map<std::string, const char*> kWords = {
      {"lamp", "a lamp on the button"},
      {"finger", "the finger's movement"},
      {"sound", "the click in the sound track"},
      {"contact", "a contact wired to the sensor"},
      {"step", "the patch's step in luminance, fitted"},
      {"change", "the first picture of the screen that changed beyond its ordinary motion"},
      {"mark", "marks made by hand"},
  };
  const auto found = kWords.find(how);
  return found == kWords.end() ? "a way not stated" : found->second;
}

std::string ways(const std::map<std::string, std::size_t>& counts) {
  std::vector<std::string> parts;
  parts.reserve(counts.size());
  for (const auto& [how, n] : counts) {
    parts.push_back(std::to_string(n) + " by " + words_of(how));
  }
  return parts.empty() ? "none seen" : listed(parts);
}

std::string criterion_words(const onset::RecordingInfo& recording) {
  if (!recording.light) {
    return "not stated: the light is where whoever made the timings put it";
  }
  const onset::LightInfo& light = *recording.light;
  std::string text = "light counts once the middle row of the patch has made " +
                     shortest(light.threshold * 100) + " % of its step in luminance";
  if (light.rise_s) {
    text += "; it rises from 10 to 90 % in " + fixed(*light.rise_s * kMsPerSecond, 2) + " ms";
  } else if (light.rise_below_s) {
    text += "; it rises from 10 to 90 % in less than " +
            fixed(*light.rise_below_s * kMsPerSecond, 2, Rounding::kUp) + " ms";
  }
  return text;
}

std::string display_words(const session::Display& display) {
  const std::string refresh = display.refresh_hz ? fixed(*display.refresh_hz, 2) + " Hz stated"
                                                 : "refresh not stated by the system";
  return listed({display.name,
                 std::to_string(display.mode_width) + " × " + std::to_string(display.mode_height),
                 refresh, display.vsync ? "vsync on" : "vsync off",
                 display.fullscreen ? "full screen" : "in a window", display.renderer});
}

std::string machine_words(const session::Header& header) {
  return listed(
      {header.host.platform,
       header.host.harness_version.empty() ? "" : "harness " + header.host.harness_version,
       "pacing " + header.pacing});
}

std::string control_words(const session::Input& input) {
  return listed({input.control, input.device, input.bus});
}

std::string pairing_words(const timing::Split& split) {
  const timing::PairingCounts& counts = split.counts;
  if (split.flip_how.empty()) {
    return std::to_string(counts.recorded) + " in the recording; there is no log to pair them with";
  }
  return std::to_string(counts.recorded) + " in the recording, " + std::to_string(counts.logged) +
         " in the log, " + std::to_string(counts.paired) + " paired by their spacing";
}

std::string flip_words(const timing::Split& split) {
  if (split.flip_how == "refresh") {
    return "the refresh at which a frame can first be scanned out, from the phase of the present "
           "returns";
  }
  return "the submit itself, since the present returns do not keep to the refresh: the wait for "
         "the "
         "refresh counts as screen";
}

std::string drift_words(const timing::Drift& drift) {
  const int decimals = decimals_for(drift.u_ppm);
  return fixed(drift.rate_ppm, decimals) + " ppm, standard uncertainty " +
         fixed(drift.u_ppm, decimals) + " ppm, from " + std::to_string(drift.n) + " lights";
}

}  // namespace

std::string clock_link_words(const timing::ClockLink& link) {
  switch (link.kind) {
    case ClockLinkKind::kShared:
      return "shared: the recording is stamped on the host's own clock";
    case ClockLinkKind::kExchange:
      return "exchange: requests and answers between host and sensor" +
             (link.exchange ? ", " + std::to_string(link.exchange->exchanges) +
                                  " of them, the least way there and back " +
                                  milliseconds(link.exchange->least_delay_s)
                            : std::string());
    case ClockLinkKind::kLamp:
      return "lamp: the host switches a lamp in the camera's view" +
             (link.lamp_lag ? ", which lights " + milliseconds(link.lamp_lag->min_s) + " to " +
                                  milliseconds(link.lamp_lag->max_s) + " after it is switched"
                            : std::string());
    case ClockLinkKind::kCausality:
      return "causality: nothing ties the clocks but that no press comes after its arrival and no "
             "light before its submit, which bounds the portions";
    case ClockLinkKind::kNone:
      break;
  }
  return "none: the clocks of recording and host are not tied";
}

std::vector<std::pair<std::string, std::string>> method_words(const ComparedSession& session) {
  const Result& result = session.result;
  std::vector<std::pair<std::string, std::string>> rows = {
      {"Recording", file_words(result.recording)}, {"Rate", rate_words(result.recording)}};
  if (result.recording.camera) {
    rows.emplace_back("Picture", picture_words(*result.recording.camera));
    rows.emplace_back("Shutter", exposure_words(*result.recording.camera));
  }
  rows.emplace_back("Presses", ways(result.presses_by));
  rows.emplace_back("Lights", ways(result.lights_by));
  for (const std::string& sentence : mark_words(result)) {
    rows.emplace_back("Marks", sentence);
  }
  rows.emplace_back("Criterion", criterion_words(result.recording));
  rows.emplace_back("Clock link", clock_link_words(result.split.clock_link));
  rows.emplace_back("Pairing", pairing_words(result.split));
  if (session.header) {
    rows.emplace_back("Flip", flip_words(result.split));
    rows.emplace_back("Display", display_words(session.header->display));
    rows.emplace_back("Control", control_words(session.header->input));
    rows.emplace_back("Machine", machine_words(*session.header));
  } else {
    rows.emplace_back("Log", "none: display, control and machine are known by the labels alone");
  }
  if (result.split.clock_link.drift) {
    rows.emplace_back("Drift of the clocks", drift_words(*result.split.clock_link.drift));
  }
  return rows;
}

std::vector<std::string> assumptions(const ComparedSession& session) {
  const Result& result = session.result;
  std::vector<std::string> list;
  const timing::ScanOut& scan_out = result.split.clock_link.scan_out;
  if (!scan_out.basis.empty()) {
    list.push_back((scan_out.to_patch_s
                        ? "No light comes before the scan-out has reached the patch, " +
                              fixed(*scan_out.to_patch_s * kMsPerSecond, 2) + " ms after the flip: "
                        : "Nothing is supposed of the scan-out: ") +
                   scan_out.basis + ".");
  }
  if (result.split.clock_link.lamp_lag) {
    list.emplace_back(
        "The range of the lamp's lag is as stated; nothing in the recording shows it.");
  }
  if (result.split.clock_link.exchange) {
    list.emplace_back(
        "The way there and the way back of an exchange may share its delay in any proportion.");
  }
  if (result.recording.camera && result.recording.camera->readout_source == "stated") {
    list.emplace_back("The readout of the camera's rows is as stated.");
  }
  const onset::RecordingClock& clock = result.recording.clock;
  if (clock.rate_hz && (clock.source == "capture-rate" || clock.source == "stated")) {
    list.emplace_back("The camera took its images at the rate stated, evenly.");
  }
  return list;
}

}  // namespace thumblight::report
