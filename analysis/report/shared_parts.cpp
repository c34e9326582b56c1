#include "analysis/report/shared_parts.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::report {
namespace {

/// Heights in the picture count as the same within this share of it.
constexpr double kSameHeight = 0.02;
constexpr double kSameRate = 0.01;

std::string label(const Result& result, const char* key) {
  const auto found = result.labels.find(key);
  return found == result.labels.end() ? "" : found->second;
}

double height_in(const onset::CameraInfo& camera, const onset::Region& region) {
  return (region.y + region.h / 2) / camera.height;
}

bool same_height(const onset::CameraInfo& a, const std::optional<onset::Region>& of_a,
                 const onset::CameraInfo& b, const std::optional<onset::Region>& of_b) {
  return of_a && of_b && a.height > 0 && b.height > 0 &&
         std::abs(height_in(a, *of_a) - height_in(b, *of_b)) <= kSameHeight;
}

/// A lamp that ties the clocks, where there is one.
bool same_lamp(const onset::CameraInfo& a, const onset::CameraInfo& b) {
  return (!a.lamp && !b.lamp) || same_height(a, a.lamp, b, b.lamp);
}

bool known_alike(const onset::CameraInfo& a, const onset::CameraInfo& b) {
  if (a.readout_source != b.readout_source || a.readout_source == "estimated") {
    return false;
  }
  return a.readout_s == b.readout_s;
}

bool same_rate(const onset::RecordingClock& a, const onset::RecordingClock& b) {
  return a.rate_hz && b.rate_hz && std::abs(*a.rate_hz / *b.rate_hz - 1) <= kSameRate;
}

void put(std::vector<SharedPart>& parts, const timing::SharedError& error,
         double SharedPart::*member) {
  auto found = std::find_if(parts.begin(), parts.end(),
                            [&](const SharedPart& part) { return part.source == error.source; });
  if (found == parts.end()) {
    parts.push_back({error.source});
    found = parts.end() - 1;
  }
  (*found).*member = std::hypot((*found).*member, error.u_ms);
}

}  // namespace

double unseen_variance(const PortionResult& portion) {
  if (!portion.value_u_ms || !portion.summary->sd) {
    return 0;
  }
  const double u_ms = *portion.value_u_ms;
  const double sd_ms = *portion.summary->sd;
  return std::max(0.0, u_ms * u_ms - sd_ms * sd_ms) / static_cast<double>(portion.summary->n);
}

bool same_readout(const Result& a, const Result& b) {
  if (label(a, "camera").empty() || label(a, "camera") != label(b, "camera") ||
      !a.recording.camera || !b.recording.camera) {
    return false;
  }
  const onset::CameraInfo& of_a = *a.recording.camera;
  const onset::CameraInfo& of_b = *b.recording.camera;
  return a.recording.kind == b.recording.kind && of_a.width == of_b.width &&
         of_a.height == of_b.height && of_a.rotation_deg == of_b.rotation_deg &&
         same_rate(a.recording.clock, b.recording.clock) && known_alike(of_a, of_b) &&
         same_height(of_a, of_a.patch, of_b, of_b.patch) &&
         same_height(of_a, of_a.press, of_b, of_b.press) && same_lamp(of_a, of_b);
}

std::vector<SharedPart> shared_parts(const Result& a, const Result& b, timing::Portion portion) {
  std::vector<SharedPart> parts;
  for (const timing::SharedError& error : a.split.shared[portion]) {
    put(parts, error, &SharedPart::u_a_ms);
  }
  for (const timing::SharedError& error : b.split.shared[portion]) {
    put(parts, error, &SharedPart::u_b_ms);
  }
  for (SharedPart& part : parts) {
    part.cancels = part.source == onset::kReadout && same_readout(a, b);
    part.u_ms =
        part.cancels ? std::abs(part.u_a_ms - part.u_b_ms) : std::hypot(part.u_a_ms, part.u_b_ms);
  }
  return parts;
}

}  // namespace thumblight::report
