#pragma once

#include <SDL.h>

#include <cstdint>
#include <map>
#include <string>
#include <vector>

namespace thumblight::review {

/// A key or button as `actions.hpp` writes it; a key is tried by its letter and by its place.
struct Chord {
  std::string name;
  std::string other;   ///< tried where `name` means nothing
  bool again = false;  ///< it is being held
};

/// Makes chords of SDL's events of keys and controllers. Buttons of a controller that are held come
/// again, as those of a keyboard do.
class ChordReader {
 public:
  /// What an event means, if anything; opens controllers as they come and closes them as they go.
  std::vector<Chord> take(const SDL_Event& event);
  /// Buttons that are held come again, as `now_ms` goes on.
  std::vector<Chord> held(std::uint32_t now_ms);
  /// Whether a key or button was let go since this was asked last.
  bool was_let_go();

  ~ChordReader();

 private:
  std::vector<Chord> press(const std::string& name, std::uint32_t now_ms);
  void release(const std::string& name);
  std::vector<Chord> take_axis(const SDL_ControllerAxisEvent& event);
  std::vector<Chord> take_side(const std::string& name, bool on, std::uint32_t now_ms);

  std::map<std::string, std::uint32_t>
      next_ms_;  ///< of buttons that are held: when they come again
  std::map<SDL_JoystickID, SDL_GameController*> controllers_;
  bool let_go_ = false;
};

}  // namespace thumblight::review
