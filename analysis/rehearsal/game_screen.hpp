#pragma once

#include <cstdint>
#include <map>
#include <vector>

#include "analysis/rehearsal/game.hpp"
#include "analysis/rehearsal/panel.hpp"
#include "analysis/rehearsal/step_response.hpp"

namespace thumblight::rehearsal {

/// A game as its screen shows it: each row passes from one picture to the next when the scan-out
/// reaches it, as fast as the panel can.
class GameScreen {
 public:
  /// `screen` in pixels of the picture that is filmed; its rows are the screen's rows.
  GameScreen(const Truth& truth, const Region& screen, int width, int height);

  /// Adds to `line` the mean light of the row's pixels from `left` to `right` over the time given.
  void add(int row, int left, int right, double from_s, double to_s, float* line);

 private:
  struct Part {
    std::int64_t refresh = 0;
    double weight = 0;
  };

  std::vector<Part> parts(double way, double from_s, double to_s) const;
  const std::vector<float>& picture(std::int64_t refresh);

  Game game_;
  Panel panel_;
  StepResponse response_;
  Refresh refresh_;
  Region screen_;
  ScanDirection scan_;
  int left_;
  int top_;
  int width_;
  int height_;
  std::map<std::int64_t, std::vector<float>> pictures_;  ///< the last few
};

}  // namespace thumblight::rehearsal
