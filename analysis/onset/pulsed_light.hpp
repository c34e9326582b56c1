#pragma once

#include "analysis/onset/estimate.hpp"
#include "analysis/onset/filmed_steps.hpp"

/// Light that comes in pulses, one a refresh: a tube whose phosphor fades within a millisecond or
/// so, filmed faster than it is refreshed.
namespace thumblight::onset {

/// Whether the level after a step keeps falling back to dark.
bool is_pulsed(const FilmedGroup& group);

/// The first pulse of each place as a step: the light summed up over the frames. That sum, taken at
/// the end of each exposure, rises as the phosphor fades; `exposure_s` moves it there. Each result
/// is to be fitted as if it had been exposed for an instant.
std::vector<FilmedStep> first_pulses(const FilmedGroup& group, double exposure_s);

/// Share of the frame's time for which the shutter is open. Pulses that fall between two exposures
/// are lost, wholly or in part: what is seen of all of them over what is seen of one that is caught
/// whole is that share. Empty where too few can be told apart.
std::optional<Estimate> exposure_by_pulses(const FilmedGroup& group);

}  // namespace thumblight::onset
