#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "analysis/review/reviewed_session.hpp"

namespace thumblight::review {

enum class PressState { kFound, kDoubtful, kByHand, kLeftOut, kUnseen };

/// In a word or two.
const char* name(PressState state);

/// An instant as it is shown.
struct SeenInstant {
  double t_s = 0;
  std::optional<double> u_s;  ///< standard uncertainty
  std::int64_t frame = 0;
  bool by_hand = false;
};

/// What is shown of one press.
struct PressView {
  PressState state = PressState::kUnseen;
  std::string reason;                ///< why it is left out, or what makes it doubtful
  std::optional<SeenInstant> press;  ///< that counts: by hand where there is a mark
  std::optional<SeenInstant> light;
  std::optional<SeenInstant> found_press;  ///< by the tool, where a mark goes over it
  std::optional<SeenInstant> found_light;

  std::optional<double> total_s() const;
};

PressView view_of(const ReviewedSession& session, std::int64_t index);

/// A press of one of the sessions.
struct PressRow {
  std::size_t session = 0;
  std::int64_t index = 0;

  bool operator==(const PressRow&) const = default;
};

/// The presses of a session to be looked at in order of time, those that were added by hand among
/// them.
std::vector<std::int64_t> presses_of(const ReviewedSession& session);

/// Where a press is, as far as the tool or a mark says; the start of the recording else.
double place_s(const ReviewedSession& session, std::int64_t index);
/// The frame of that place.
std::int64_t place_frame(const ReviewedSession& session, std::int64_t index);

}  // namespace thumblight::review
