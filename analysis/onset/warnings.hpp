#pragma once

#include <string>

#include "analysis/onset/timings.hpp"

/// Every doubt that reading a recording or timings and splitting them can raise. The list is
/// closed: a new doubt is a new entry here, with its remedy.
namespace thumblight::onset {

enum class WarningCode {
  kRateAgainstLog,
  kCaptureRateAssumed,
  kFramesDropped,
  kFramesDoubled,
  kFramesUneven,
  kStampsOdd,
  kStartOdd,
  kEdited,
  kDecodeFaults,
  kFramesFew,
  kTransferAssumed,
  kLevelsClipped,
  kReadoutUnknown,
  kExposureWide,
  kFlickerRemoved,
  kLightPulsed,
  kNoPressFound,
  kChangeUnseen,
  kChangeDoubtful,
  kChangeSlow,
  kPressesWithoutLight,
  kLightsWithoutPress,
  kFlashesUnseen,
  kSoundDistanceUnknown,
  kSoundOffsetUnknown,
  kTraceCut,

  kNothingFound,
  kMarksCut,
  kMarksStray,
  kMarksBeyond,

  kTableEndOpen,
  kUncertaintyUnknown,
  kLogUnfinished,
  kNoTotal,
  kPairingFailed,
  kPairingAmbiguous,
  kPairingUnchecked,
  kUnpairedPresses,
  kLightWithoutFlash,
  kEffectBeforeCause,
  kClocksContradict,
  kLightBeforeFlip,
  kNoBounds,
  kPressesInStep,
  kCameraInStep,
};

/// The warning with its code, its remedy, and its text; `detail` (which presses, how many) follows
/// the text's colon.
Warning make_warning(WarningCode code, const std::string& detail);

}  // namespace thumblight::onset
