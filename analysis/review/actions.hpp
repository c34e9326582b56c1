#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>

/// What a person can do in the window, and with which keys and controller buttons. The help page,
/// the hints and the input all read the same tables.
namespace thumblight::review {

enum class Action {
  kStepOn,
  kStepBack,
  kTenOn,
  kTenBack,
  kNextPress,
  kPreviousPress,
  kNextInstant,
  kPlay,
  kMarkPress,
  kMarkLight,
  kAddPress,
  kLeaveOut,
  kUndo,
  kRedo,
  kRegions,
  kZoomIn,
  kZoomOut,
  kFit,
  kPanLeft,
  kPanRight,
  kPanUp,
  kPanDown,
  kLessTime,
  kMoreTime,
  kHelp,
  kQuit,

  kMoveLeft,
  kMoveRight,
  kMoveUp,
  kMoveDown,
  kFarLeft,
  kFarRight,
  kFarUp,
  kFarDown,
  kNarrower,
  kWider,
  kLower,
  kTaller,
  kMuchNarrower,
  kMuchWider,
  kMuchLower,
  kMuchTaller,
  kDone,

  kChooseUp,
  kChooseDown,
  kChoose,
  kErase,
  kClose,
};

/// What the keys mean depends on what is open.
enum class Mode { kLook, kRegions, kReasons, kHelp };

/// One action in one mode. Keys are written "Shift+Right", buttons of a controller "pad A"; several
/// are parted by a blank bar: "P|pad A".
struct Binding {
  Action action;
  const char* words;
  const char* chords;
};

std::span<const Binding> bindings(Mode mode);

/// What a key or button means; empty where it means nothing.
std::optional<Action> action_of(Mode mode, std::string_view chord);

/// Keys and buttons of an action as a person reads them, such as "Shift+Right" and "pad RB"; empty
/// where there is none.
struct Controls {
  std::string keys;
  std::string pad;
};
Controls controls_of(const Binding& binding);

/// Whether holding the key down does it again and again.
bool repeats(Action action);

}  // namespace thumblight::review
