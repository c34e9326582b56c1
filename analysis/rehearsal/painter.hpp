#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "analysis/rehearsal/finger_motion.hpp"
#include "analysis/rehearsal/frame_clock.hpp"
#include "analysis/rehearsal/game_screen.hpp"
#include "analysis/rehearsal/orientation.hpp"
#include "analysis/rehearsal/panel.hpp"
#include "analysis/rehearsal/random.hpp"
#include "analysis/rehearsal/scene.hpp"
#include "analysis/rehearsal/switched_light.hpp"
#include "analysis/rehearsal/transfer_curve.hpp"

namespace thumblight::rehearsal {

/// Code values of one stored picture, colour planes halved both ways.
struct Planes {
  int width = 0;
  int height = 0;
  std::vector<std::uint16_t> luma;
  std::vector<std::uint16_t> cb;
  std::vector<std::uint16_t> cr;
};

/// A stretch of bench time.
struct Window {
  double from_s = 0;
  double to_s = 0;
};

/// Exposes one image after another: each pixel takes the mean light over its row's exposure.
/// What does not change between images is not painted again.
class Painter {
 public:
  explicit Painter(const Truth& truth);

  const Planes& paint(const CameraFrame& frame);

  const Regions& upright_regions() const { return scene_.regions(); }
  Regions stored_regions() const;
  /// When the stored row (its middle) is exposed.
  Window exposure(const CameraFrame& frame, int row) const;

 private:
  /// An area that changes on its own, with how far it covers each column and row.
  struct Area {
    int left = 0;
    int right = 0;
    int top = 0;
    int bottom = 0;
    std::vector<float> columns;
    std::vector<float> rows;
    bool in_row(int row) const { return row >= top && row < bottom; }
  };
  /// Columns [left, right) of a row.
  struct Span {
    int left = 0;
    int right = 0;
  };
  /// What a row last showed.
  struct RowState {
    std::array<RowLight, 3> screen;
    double lamp = -1;
    double host_lamp = -1;
    std::array<double, 2> finger = {-1, -1};
  };
  /// How the camera stands and sees during one image.
  struct View {
    Point shift;       ///< of everything in the stored picture, pixels
    Point hand_shift;  ///< of the finger in the upright picture
    double gain = 1;
  };
  struct Lamp {
    Area area;
    std::vector<float> cover;
    SwitchedLight light;
    double level = 0;
  };

  Area make_area(const Region& region, Point shift) const;
  Lamp make_lamp(const Region& region, std::vector<Switching> switchings, double rise_s,
                 double level) const;
  void lay_base();
  void lay_tint();
  View view(const CameraFrame& frame) const;
  void move_areas(const View& view);
  RowState row_state(int row, const Window& window) const;
  Span stale_span(int row, const RowState& now, const RowState& last) const;
  void paint_span(int row, Span span, const Window& window, const RowState& state);
  void add_reflections(int row, Span span, const Window& window, double spill);
  void add_screen(int row, Span span, const Window& window, const RowState& state);
  void add_lamp(const Lamp& lamp, int row, Span span, double level);
  void add_finger(int row, Span span, const Window& window, const RowState& state, double gain);
  void add_noise(Span span);
  double ambient(const Window& window) const;
  double display_row(double column, double row) const;
  RowLight row_light(double column, int row, const Window& window) const;
  bool rows_are_alike() const;

  Settings settings_;
  ClockPair clocks_;
  Orientation orientation_;
  Scene scene_;
  Panel panel_;
  std::optional<GameScreen> game_;
  FingerMotion finger_;
  LightCoder coder_;
  Random random_;
  double flicker_phase_;
  std::array<double, 4> shake_phases_{};
  bool all_varies_;
  int margin_;
  std::vector<float> base_;   ///< reflectance, with a margin all round
  std::vector<float> noise_;  ///< normal deviates, drawn once; each row starts elsewhere in them
  Region stored_screen_;
  Area screen_;
  Area patch_;
  Area finger_area_;
  std::vector<Lamp> button_lamps_;
  std::vector<Lamp> host_lamps_;
  std::vector<RowState> states_;
  std::vector<float> line_;
  View view_;
  Planes planes_;
};

}  // namespace thumblight::rehearsal
