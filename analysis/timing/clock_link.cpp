#include "analysis/timing/clock_link.hpp"

#include <array>
#include <utility>

namespace thumblight::timing {
namespace {

constexpr std::array<std::pair<ClockLinkKind, const char*>, 5> kNames = {
    {{ClockLinkKind::kNone, "none"},
     {ClockLinkKind::kCausality, "causality"},
     {ClockLinkKind::kLamp, "lamp"},
     {ClockLinkKind::kExchange, "exchange"},
     {ClockLinkKind::kShared, "shared"}}};

}  // namespace

const char* name(ClockLinkKind kind) {
  for (const auto& [known, text] : kNames) {
    if (known == kind) {
      return text;
    }
  }
  return "";
}

std::optional<ClockLinkKind> clock_link_of(std::string_view name) {
  for (const auto& [kind, text] : kNames) {
    if (text == name) {
      return kind;
    }
  }
  return std::nullopt;
}

bool gives_offset(ClockLinkKind kind) {
  return kind == ClockLinkKind::kLamp || kind == ClockLinkKind::kExchange ||
         kind == ClockLinkKind::kShared;
}

ClockLinkKind default_clock_link(const onset::RecordingClock& clock, bool has_log) {
  if (!has_log) {
    return ClockLinkKind::kNone;
  }
  return clock.source == "host" ? ClockLinkKind::kShared : ClockLinkKind::kCausality;
}

}  // namespace thumblight::timing
