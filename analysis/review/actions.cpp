#include "analysis/review/actions.hpp"

#include <algorithm>

namespace thumblight::review {
namespace {

constexpr std::array kLook = {
    Binding{Action::kStepBack, "one frame back", "Left|pad left"},
    Binding{Action::kStepOn, "one frame on", "Right|pad right"},
    Binding{Action::kTenBack, "ten frames back", "Shift+Left|pad left shoulder"},
    Binding{Action::kTenOn, "ten frames on", "Shift+Right|pad right shoulder"},
    Binding{Action::kPlay, "play slowly, or stop", "Space|pad left stick click"},
    Binding{Action::kPreviousPress, "previous press", "Up|pad up"},
    Binding{Action::kNextPress, "next press", "Down|pad down"},
    Binding{Action::kNextInstant, "to its press, to its light", "Tab|pad right stick click"},
    Binding{Action::kMarkPress, "the press is in this frame", "P|pad A"},
    Binding{Action::kMarkLight, "the light is in this frame", "L|pad B"},
    Binding{Action::kAddPress, "a new press is in this frame", "N"},
    Binding{Action::kLeaveOut, "leave the press out, or take it in", "X|pad X"},
    Binding{Action::kUndo, "undo", "Backspace|pad Y"},
    Binding{Action::kRedo, "do again what was undone", "Shift+Backspace"},
    Binding{Action::kRegions, "move or size a region", "R|pad back"},
    Binding{Action::kZoomIn, "closer", "+|=|Shift+=|Keypad +|pad right trigger"},
    Binding{Action::kZoomOut, "farther", "-|Keypad -|pad left trigger"},
    Binding{Action::kFit, "the whole frame", "0|Keypad 0"},
    Binding{Action::kPanLeft, "look to the left", "Ctrl+Left|pad right stick left"},
    Binding{Action::kPanRight, "look to the right", "Ctrl+Right|pad right stick right"},
    Binding{Action::kPanUp, "look up", "Ctrl+Up|pad right stick up"},
    Binding{Action::kPanDown, "look down", "Ctrl+Down|pad right stick down"},
    Binding{Action::kLessTime, "less time in the traces", "PageUp"},
    Binding{Action::kMoreTime, "more time in the traces", "PageDown"},
    Binding{Action::kHelp, "this page", "H|F1|pad start"},
    Binding{Action::kQuit, "end (every mark is saved already)", "Q"},
};

constexpr std::array kRegionKeys = {
    Binding{Action::kMoveLeft, "move left", "Left|pad left"},
    Binding{Action::kMoveRight, "move right", "Right|pad right"},
    Binding{Action::kMoveUp, "move up", "Up|pad up"},
    Binding{Action::kMoveDown, "move down", "Down|pad down"},
    Binding{Action::kFarLeft, "far to the left", "Shift+Left|pad right stick left"},
    Binding{Action::kFarRight, "far to the right", "Shift+Right|pad right stick right"},
    Binding{Action::kFarUp, "far up", "Shift+Up|pad right stick up"},
    Binding{Action::kFarDown, "far down", "Shift+Down|pad right stick down"},
    Binding{Action::kNarrower, "narrower", "Ctrl+Left|pad left shoulder"},
    Binding{Action::kWider, "wider", "Ctrl+Right|pad right shoulder"},
    Binding{Action::kLower, "lower", "Ctrl+Up|pad left trigger"},
    Binding{Action::kTaller, "taller", "Ctrl+Down|pad right trigger"},
    Binding{Action::kMuchNarrower, "much narrower", "Shift+Ctrl+Left"},
    Binding{Action::kMuchWider, "much wider", "Shift+Ctrl+Right"},
    Binding{Action::kMuchLower, "much lower", "Shift+Ctrl+Up"},
    Binding{Action::kMuchTaller, "much taller", "Shift+Ctrl+Down"},
    Binding{Action::kRegions, "the other region", "R|pad back"},
    Binding{Action::kZoomIn, "closer", "+|=|Shift+=|Keypad +"},
    Binding{Action::kZoomOut, "farther", "-|Keypad -"},
    Binding{Action::kFit, "the whole frame", "0|Keypad 0"},
    Binding{Action::kUndo, "undo", "Backspace|pad Y"},
    Binding{Action::kDone, "done", "Return|Escape|pad A|pad B"},
};

constexpr std::array kReasonKeys = {
    Binding{Action::kChooseUp, "up", "Up|pad up"},
    Binding{Action::kChooseDown, "down", "Down|pad down"},
    Binding{Action::kChoose, "leave it out for this reason", "Return|pad A"},
    Binding{Action::kErase, "erase what was typed", "Backspace"},
    Binding{Action::kClose, "leave it in", "Escape|pad B"},
};

constexpr std::array kHelpKeys = {
    Binding{Action::kChooseUp, "up", "Up|pad up"},
    Binding{Action::kChooseDown, "down", "Down|pad down"},
    Binding{Action::kChoose, "do it", "Return|pad A"},
    Binding{Action::kClose, "close", "H|F1|Escape|pad B|pad start"},
    Binding{Action::kQuit, "end", "Q"},
};

/// Calls `visit` with every chord until it gives true.
template <typename Visit>
bool any_chord(const char* chords, const Visit& visit) {
  std::string_view rest = chords;
  while (!rest.empty()) {
    const std::size_t bar = rest.find('|');
    if (visit(rest.substr(0, bar))) {
      return true;
    }
    rest.remove_prefix(bar == std::string_view::npos ? rest.size() : bar + 1);
  }
  return false;
}

}  // namespace

std::span<const Binding> bindings(Mode mode) {
  switch (mode) {
    case Mode::kRegions:
      return kRegionKeys;
    case Mode::kReasons:
      return kReasonKeys;
    case Mode::kHelp:
      return kHelpKeys;
    case Mode::kLook:
      break;
  }
  return kLook;
}

std::optional<Action> action_of(Mode mode, std::string_view chord) {
  for (const Binding& binding : bindings(mode)) {
    if (any_chord(binding.chords, [chord](std::string_view one) { return one == chord; })) {
      return binding.action;
    }
  }
  return std::nullopt;
}

Controls controls_of(const Binding& binding) {
  Controls controls;
  any_chord(binding.chords, [&controls](std::string_view chord) {
    constexpr std::string_view kPad = "pad ";
    if (chord.starts_with(kPad)) {
      controls.pad += (controls.pad.empty() ? "" : " or ") + std::string(chord.substr(kPad.size()));
    } else if (controls.keys.empty()) {
      controls.keys = chord;
    }
    return false;
  });
  return controls;
}

bool repeats(Action action) {
  constexpr std::array kOnce = {Action::kNextInstant, Action::kPlay,     Action::kMarkPress,
                                Action::kMarkLight,   Action::kAddPress, Action::kLeaveOut,
                                Action::kRegions,     Action::kFit,      Action::kHelp,
                                Action::kQuit,        Action::kDone,     Action::kChoose,
                                Action::kClose};
  return std::find(kOnce.begin(), kOnce.end(), action) == kOnce.end();
}

}  // namespace thumblight::review
