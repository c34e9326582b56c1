#pragma once

#include <string>

#include "analysis/onset/timings.hpp"

/// Every doubt that reading a recording can raise. The list is closed: a new doubt is a new entry.
namespace thumblight::onset {

enum class RecordingDoubt {
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
  kNoPressFound,
  kPressesWithoutLight,
  kLightsWithoutPress,
  kFlashesUnseen,
  kSoundDistanceUnknown,
  kSoundOffsetUnknown,
  kTraceCut,
};

/// The warning with code, text and remedy; `detail` follows the text's colon.
Warning recording_warning(RecordingDoubt doubt, const std::string& detail);

}  // namespace thumblight::onset
