#pragma once

#include <cstdint>
#include <vector>

#include "analysis/rehearsal/truth.hpp"

/// A game that keeps no log: simple painted shapes, a new picture at each refresh.
namespace thumblight::rehearsal {

/// A rectangle of the screen, in shares of its width and height.
struct ScreenBox {
  double left = 0;
  double top = 0;
  double right = 0;
  double bottom = 0;
};

/// Where a figure stands, or the middle item of a menu lies, before a press.
ScreenBox game_actor(const GameSettings& game);

/// The part of the screen in which a press shows: the actor's ways, with a margin.
ScreenBox game_reach(const GameSettings& game);

/// Height of the figure above the ground, share of the screen's height, so long after its picture
/// began to answer. It is back on the ground after `game_jump_length_s`.
double game_jump_height(const GameSettings& game, double since_s);
double game_jump_length_s(const GameSettings& game);

/// The pictures of a game.
class Game {
 public:
  Game(const GameSettings& settings, std::uint64_t seed, Refresh refresh,
       const std::vector<PressTruth>& presses);

  /// Mean level of a part of the picture that the refresh shows; the part is as small as a pixel.
  double level(std::int64_t refresh, const ScreenBox& part) const;

 private:
  /// The shapes of one picture, in the order in which they cover each other.
  struct Shape {
    ScreenBox box;
    double level = 0;
  };

  std::vector<Shape> shapes(std::int64_t refresh) const;
  double ground(const ScreenBox& part, double scrolled) const;
  double block_level(std::int64_t column, std::int64_t row) const;
  void add_figure(std::int64_t refresh, std::vector<Shape>& into) const;
  void add_menu(std::int64_t refresh, std::vector<Shape>& into) const;

  GameSettings settings_;
  std::uint64_t seed_;
  double interval_s_;
  double idle_phase_;
  std::vector<std::int64_t> answers_;  ///< refreshes at which presses first show
  mutable std::int64_t shapes_of_ = -1;
  mutable std::vector<Shape> shapes_;
};

}  // namespace thumblight::rehearsal
