#include "analysis/onset/recording_warnings.hpp"

#include <array>

namespace thumblight::onset {
namespace {

struct Entry {
  RecordingDoubt doubt;
  const char* code;
  const char* text;
  const char* remedy;
};

constexpr std::array kEntries = {
    Entry{RecordingDoubt::kRateAgainstLog, "rate-against-log",
          "the recording's clock does not run as the log's does",
          "state the true capture rate (capture_rate_hz in setup.json)"},
    Entry{RecordingDoubt::kCaptureRateAssumed, "capture-rate-assumed",
          "times follow from a capture rate and not from the file's stamps",
          "check the capture rate against the camera's setting"},
    Entry{RecordingDoubt::kFramesDropped, "frames-dropped", "frames are missing from the file",
          "record to faster storage, or at a lower rate; presses beside a gap are less certain"},
    Entry{RecordingDoubt::kFramesDoubled, "frames-doubled",
          "frames repeat the one before them and are left out",
          "record at a rate that the camera can keep"},
    Entry{RecordingDoubt::kFramesUneven, "frames-uneven",
          "the frames' times are uneven; they are taken as stamped",
          "lock the camera's frame rate if it lets you"},
    Entry{RecordingDoubt::kStampsOdd, "stamps-odd",
          "time stamps are missing, stand still or go back",
          "give the file as it came off the camera, not re-encoded"},
    Entry{RecordingDoubt::kStartOdd, "start-odd", "the file's first stamp is not 0",
          "none is needed: instants are on the file's own time line; mind it where sound and "
          "picture are compared"},
    Entry{RecordingDoubt::kEdited, "edited",
          "an edit list cuts, pauses or slows the film; it is followed as it stands",
          "give the file as it came off the camera, before any editing"},
    Entry{RecordingDoubt::kDecodeFaults, "decode-faults", "parts of the file cannot be decoded",
          "copy the file from the camera again; what was read is used"},
    Entry{RecordingDoubt::kFramesFew, "frames-few",
          "the frame rate is low for timing single presses",
          "record at 120 frames a second or more"},
    Entry{RecordingDoubt::kTransferAssumed, "transfer-assumed",
          "the file does not say how its levels stand for light; BT.709 is taken",
          "give the file as it came off the camera, not re-encoded"},
    Entry{RecordingDoubt::kLevelsClipped, "levels-clipped",
          "the bright level sits at the top of the camera's range, so part-bright frames read "
          "too bright",
          "lower the exposure or the screen's brightness"},
    Entry{RecordingDoubt::kReadoutUnknown, "readout-unknown",
          "the camera's readout time is unknown and taken as 0",
          "state it (readout_s in setup.json), or film the button and the patch at one height"},
    Entry{RecordingDoubt::kExposureWide, "exposure-uncertain",
          "the exposure time could be estimated only roughly",
          "state it (exposure_share in setup.json), or record more presses"},
    Entry{RecordingDoubt::kFlickerRemoved, "mains-flicker",
          "the mains' light flickers in the picture; it has been fitted and taken out",
          "film by daylight or under a steady lamp"},
    Entry{RecordingDoubt::kNoPressFound, "no-press-found",
          "neither lamp, finger nor sound shows the presses",
          "name the region (regions in setup.json), or wire a lamp to the button"},
    Entry{RecordingDoubt::kPressesWithoutLight, "presses-without-light",
          "presses without a light after them are kept and flagged", "look at their frames"},
    Entry{RecordingDoubt::kLightsWithoutPress, "lights-without-press",
          "lights without a press before them are kept and flagged",
          "look at their frames; keep the button in the picture"},
    Entry{RecordingDoubt::kFlashesUnseen, "flashes-unseen",
          "the log holds flashes that the recording does not show",
          "none is needed where the camera started late or stopped early"},
    Entry{RecordingDoubt::kSoundDistanceUnknown, "sound-distance-unknown",
          "the way of the sound through the air is unknown and taken as 0",
          "state it (sound.distance_m in setup.json)"},
    Entry{RecordingDoubt::kSoundOffsetUnknown, "sound-offset-unknown",
          "how far sound and picture are apart in the file is unknown",
          "measure it with a lamp that clicks, and state it (sound.offset_s, sound.offset_u_s)"},
    Entry{RecordingDoubt::kTraceCut, "trace-uneven", "the trace has gaps",
          "record again without other programs running"},
};

}  // namespace

Warning recording_warning(RecordingDoubt doubt, const std::string& detail) {
  for (const Entry& entry : kEntries) {
    if (entry.doubt == doubt) {
      return {entry.code, entry.text + (detail.empty() ? "" : ": " + detail), entry.remedy};
    }
  }
  return {"unlisted", detail, ""};
}

}  // namespace thumblight::onset
