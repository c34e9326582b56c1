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
    Entry{WarningCode::kNoBounds, "no-bounds",
          "bounds need at least one paired press with its press seen and one with its light seen",
          "mark the instants that were missed"},
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
