#include "analysis/onset/warnings.hpp"

#include <array>

namespace thumblight::onset {
namespace {

struct Entry {
  WarningCode code;
  const char* name;
  const char* text;
  const char* remedy;
};

constexpr std::array kEntries = {
    // Of a recording.
    Entry{WarningCode::kRateAgainstLog, "rate-against-log",
          "the recording's clock does not run as the log's does",
          "state the true capture rate (capture_rate_hz in setup.json)"},
    Entry{WarningCode::kCaptureRateAssumed, "capture-rate-assumed",
          "times follow from a capture rate and not from the file's stamps",
          "check the capture rate against the camera's setting"},
    Entry{WarningCode::kFramesDropped, "frames-dropped", "frames are missing from the file",
          "record to faster storage, or at a lower rate; presses beside a gap are less certain"},
    Entry{WarningCode::kFramesDoubled, "frames-doubled",
          "frames repeat the one before them and are left out",
          "record at a rate that the camera can keep"},
    Entry{WarningCode::kFramesUneven, "frames-uneven",
          "the frames' times are uneven; they are taken as stamped",
          "lock the camera's frame rate if it lets you"},
    Entry{WarningCode::kStampsOdd, "stamps-odd", "time stamps are missing, stand still or go back",
          "give the file as it came off the camera, not re-encoded"},
    Entry{WarningCode::kStartOdd, "start-odd", "the file's first stamp is not 0",
          "none is needed: instants are on the file's own time line; mind it where sound and "
          "picture are compared"},
    Entry{WarningCode::kEdited, "edited",
          "an edit list cuts, pauses or slows the film; it is followed as it stands",
          "give the file as it came off the camera, before any editing"},
    Entry{WarningCode::kDecodeFaults, "decode-faults", "parts of the file cannot be decoded",
          "copy the file from the camera again; what was read is used"},
    Entry{WarningCode::kFramesFew, "frames-few", "the frame rate is low for timing single presses",
          "record at 120 frames a second or more"},
    Entry{WarningCode::kTransferAssumed, "transfer-assumed",
          "the file does not say how its levels stand for light; BT.709 is taken",
          "give the file as it came off the camera, not re-encoded"},
    Entry{WarningCode::kLevelsClipped, "levels-clipped",
          "the bright level sits at the top of the camera's range, so part-bright frames read "
          "too bright",
          "lower the exposure or the screen's brightness"},
    Entry{WarningCode::kReadoutUnknown, "readout-unknown",
          "the camera's readout time is unknown and taken as 0",
          "state it (readout_s in setup.json), or film the button and the patch at one height"},
    Entry{WarningCode::kExposureWide, "exposure-uncertain",
          "the exposure time could be estimated only roughly",
          "state it (exposure_share in setup.json), or record more presses"},
    Entry{WarningCode::kFlickerRemoved, "mains-flicker",
          "the mains' light flickers in the picture; it has been fitted and taken out",
          "film by daylight or under a steady lamp"},
    Entry{WarningCode::kLightPulsed, "light-pulsed",
          "the screen's light comes in short pulses, and one that falls between two exposures is "
          "not seen",
          "film at 240 frames a second or more with the longest exposure that does not clip, at a "
          "rate that is no multiple of the screen's refresh"},
    Entry{WarningCode::kNoPressFound, "no-press-found",
          "neither lamp, finger nor sound shows the presses",
          "name the region (regions in setup.json), or wire a lamp to the button"},
    Entry{WarningCode::kChangeUnseen, "change-unseen",
          "nothing in the region changes after a press beyond its ordinary motion",
          "name the region in which the screen answers (regions.change in setup.json), closely"},
    Entry{WarningCode::kChangeDoubtful, "change-doubtful",
          "changes that cannot be told from the region's ordinary motion are flagged and kept out "
          "of the total",
          "look at their frames and mark them by hand, or name the region more closely "
          "(regions.change in setup.json)"},
    Entry{WarningCode::kChangeSlow, "change-slow",
          "the change begins so slowly that its first picture cannot be told from noise",
          "choose an action that shows at once, such as a menu's choice, or film it closer"},
    Entry{WarningCode::kPressesWithoutLight, "presses-without-light",
          "presses without a light after them are kept and flagged", "look at their frames"},
    Entry{WarningCode::kLightsWithoutPress, "lights-without-press",
          "lights without a press before them are kept and flagged",
          "look at their frames; keep the button in the picture"},
    Entry{WarningCode::kFlashesUnseen, "flashes-unseen",
          "the log holds flashes that the recording does not show",
          "none is needed where the camera started late or stopped early"},
    Entry{WarningCode::kSoundDistanceUnknown, "sound-distance-unknown",
          "the way of the sound through the air is unknown and taken as 0",
          "state it (sound.distance_m in setup.json)"},
    Entry{WarningCode::kSoundOffsetUnknown, "sound-offset-unknown",
          "how far sound and picture are apart in the file is unknown",
          "measure it with a lamp that clicks, and state it (sound.offset_s, sound.offset_u_s)"},
    Entry{WarningCode::kTraceCut, "trace-uneven", "the trace has gaps",
          "record again without other programs running"},
    // Of marks made by hand.
    Entry{WarningCode::kNothingFound, "nothing-found",
          "the recording was not read by itself; what was marked by hand stands alone",
          "look at what it says, or go on with the marks"},
    Entry{WarningCode::kMarksCut, "marks-cut",
          "the last line of marks.jsonl was cut short and is left out",
          "look whether the last mark is there, and make it again if not"},
    Entry{WarningCode::kMarksStray, "marks-stray",
          "what was said by hand of presses that are no longer found there stands by itself",
          "look at these presses again (review)"},
    Entry{WarningCode::kMarksBeyond, "marks-beyond",
          "marks that lie outside the recording are left out",
          "check that marks.jsonl belongs to this recording"},
    // Of timings, log and split.
    Entry{WarningCode::kTableEndOpen, "table-end-open",
          "the last line of the table has no line end, so its last number may have lost digits",
          "check the last row, and end it with a line feed"},
    Entry{WarningCode::kUncertaintyUnknown, "uncertainty-unknown",
          "instants without a stated uncertainty are taken as exact",
          "state standard uncertainties (u_s, or the columns press_u_s and light_u_s)"},
    Entry{WarningCode::kLogUnfinished, "log-unfinished",
          "the session log stops before its end record",
          "what was logged is used; look into why the harness ended"},
    Entry{WarningCode::kNoTotal, "no-total", "no press has both its press and its light",
          "film the button and the patch together, or mark the instants that were missed"},
    Entry{WarningCode::kPairingFailed, "pairing-failed",
          "the presses of the recording fit none in the log",
          "check that the log and the recording are of the same session"},
    Entry{WarningCode::kPairingAmbiguous, "pairing-ambiguous",
          "the presses of the log can be laid against the recording in more than one way, so "
          "nothing that needs their pairing is stated",
          "press in an uneven rhythm, or film the session from its first press to its last"},
    Entry{WarningCode::kPairingUnchecked, "pairing-unchecked",
          "too few presses to check their pairing by their spacing; they are paired in order",
          "record at least five presses in an uneven rhythm"},
    Entry{WarningCode::kUnpairedPresses, "unpaired-presses",
          "presses seen on one side alone are kept and flagged",
          "none is needed where the camera started late or the view was blocked; else check the "
          "instants of these presses"},
    Entry{WarningCode::kLightWithoutFlash, "light-without-flash",
          "a light was read at a press that the harness did not answer; it is left out",
          "look at the frames of these presses, and wait for the patch to rest between presses"},
    Entry{WarningCode::kEffectBeforeCause, "effect-before-cause",
          "an effect comes before its cause, so these portions are left out",
          "look at the frames of these presses, and check that both clocks are one"},
    Entry{WarningCode::kClocksContradict, "clocks-contradict",
          "no offset of the clocks lets every press come before its arrival and every light after "
          "its submit, so no portion is bounded",
          "look at the frames of these presses, and check the capture rate and the uncertainties"},
    Entry{WarningCode::kLightBeforeFlip, "light-before-flip",
          "lights come before the refresh that the present calls wait for, so the submit is taken "
          "for the flip, and the wait for a refresh counts as screen",
          "none is needed; this system shows a frame sooner than its present calls return"},
    Entry{WarningCode::kNoBounds, "no-bounds",
          "bounds need at least one paired press with its press seen and one with its light seen",
          "mark the instants that were missed"},
    Entry{WarningCode::kPressesInStep, "presses-in-step",
          "the presses keep step with the refresh, so the mean wait for it is not that of random "
          "presses",
          "vary the gaps between the presses"},
    Entry{WarningCode::kCameraInStep, "camera-in-step",
          "the camera's frames keep step with the display's refresh, so every light is read with "
          "the same error, which more presses do not lessen",
          "film the session in several takes, or at a rate that is no multiple of the refresh"},
};

}  // namespace

Warning make_warning(WarningCode code, const std::string& detail) {
  for (const Entry& entry : kEntries) {
    if (entry.code == code) {
      return {entry.name, entry.text + (detail.empty() ? "" : ": " + detail), entry.remedy};
    }
  }
  return {"unlisted", detail, ""};
}

}  // namespace thumblight::onset
