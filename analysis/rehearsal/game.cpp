#include "analysis/rehearsal/game.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "analysis/rehearsal/random.hpp"

namespace thumblight::rehearsal {

namespace {

constexpr double kPi = std::numbers::pi;
constexpr int kMenuItems = 4;
constexpr double kBlockWidth = 0.045;  ///< of the ground's relief, share of the screen
constexpr double kBlockHeight = 0.09;

double overlap(double a_low, double a_high, double b_low, double b_high) {
  return std::max(0.0, std::min(a_high, b_high) - std::max(a_low, b_low));
}

/// Share of `part` that `box` covers.
double covered(const ScreenBox& part, const ScreenBox& box) {
  return overlap(part.left, part.right, box.left, box.right) *
         overlap(part.top, part.bottom, box.top, box.bottom) /
         ((part.right - part.left) * (part.bottom - part.top));
}

/// Speed with which the figure would leave the ground if it had it at once.
double jump_speed(const GameSettings& game) {
  return 4.0 * game.jump_height / game.jump_s;
}

}  // namespace

double game_jump_length_s(const GameSettings& game) {
  return game.jump_s + 0.5 * game.jump_ease_s;
}

double game_jump_height(const GameSettings& game, double since_s) {
  const double speed = jump_speed(game);
  const double ease = game.jump_ease_s;
  if (since_s <= 0.0) {
    return 0.0;
  }
  if (since_s < ease) {
    return 0.5 * speed * since_s * since_s / ease;
  }
  const double free = since_s - 0.5 * ease;  // as if it had jumped at once, a little later
  return std::max(0.0, speed * free * (1.0 - free / game.jump_s));
}

ScreenBox game_actor(const GameSettings& game) {
  return {game.actor_x, game.actor_y, game.actor_x + game.actor_w, game.actor_y + game.actor_h};
}

ScreenBox game_reach(const GameSettings& game) {
  if (game.whole_screen) {
    return {0.0, 0.0, 1.0, 1.0};
  }
  ScreenBox box = game_actor(game);
  const double margin_x = 0.5 * game.actor_w;
  const double margin_y = 0.25 * game.actor_h;
  if (game.kind == GameKind::kFigure) {
    box.top -= game.jump_height;
  } else {
    box.top -= game.actor_h * 1.2;
    box.bottom += (kMenuItems - 2) * game.actor_h * 1.2;
  }
  return {std::max(0.0, box.left - margin_x), std::max(0.0, box.top - margin_y),
          std::min(1.0, box.right + margin_x), std::min(1.0, box.bottom + margin_y)};
}

Game::Game(const GameSettings& settings, std::uint64_t seed, Refresh refresh,
           const std::vector<PressTruth>& presses)
    : settings_(settings), seed_(seed), interval_s_(refresh.interval_s) {
  Random random(seed, Stream::kGame);
  idle_phase_ = random.uniform(0.0, 1.0);
  for (const PressTruth& press : presses) {
    if (press.flash) {
      answers_.push_back(
          std::llround((press.flash->flip.bench_s - refresh.phase_s) / refresh.interval_s));
    }
  }
}

/// A fixed random value from -1 to 1 for each block of the ground (a finalised product of primes).
double Game::block_level(std::int64_t column, std::int64_t row) const {
  std::uint64_t mixed = seed_ * 0x9E3779B97F4A7C15U +
                        static_cast<std::uint64_t>(column) * 0xC2B2AE3D27D4EB4FU +
                        static_cast<std::uint64_t>(row) * 0x165667B19E3779F9U;
  mixed = (mixed ^ (mixed >> 30U)) * 0xBF58476D1CE4E5B9U;
  mixed = (mixed ^ (mixed >> 27U)) * 0x94D049BB133111EBU;
  return static_cast<double>((mixed ^ (mixed >> 31U)) >> 11U) * 0x1p-52 - 1.0;
}

double Game::ground(const ScreenBox& part, double scrolled) const {
  if (settings_.ground_contrast == 0.0) {
    return settings_.ground;
  }
  const double left = (part.left + scrolled) / kBlockWidth;
  const double right = (part.right + scrolled) / kBlockWidth;
  const auto row = static_cast<std::int64_t>(std::floor(part.top / kBlockHeight));
  double sum = 0.0;
  for (auto column = static_cast<std::int64_t>(std::floor(left));
       static_cast<double>(column) < right; ++column) {
    const auto start = static_cast<double>(column);
    sum += overlap(left, right, start, start + 1.0) * block_level(column, row);
  }
  return settings_.ground * (1.0 + settings_.ground_contrast * sum / (right - left));
}

void Game::add_figure(std::int64_t refresh, std::vector<Shape>& into) const {
  const double t_s = static_cast<double>(refresh) * interval_s_;
  const auto later = std::upper_bound(answers_.begin(), answers_.end(), refresh);
  double height = 0.0;
  if (later != answers_.begin()) {
    const std::int64_t since = refresh - *std::prev(later) + 1;  // the first picture has moved
    height = game_jump_height(settings_, static_cast<double>(since) * interval_s_);
  }
  const double phase = t_s * settings_.idle_hz + idle_phase_;
  height += 0.5 * settings_.idle_height * (1.0 - std::cos(2.0 * kPi * phase));
  const double pose = t_s * settings_.pose_hz + idle_phase_;
  const double wide = settings_.pose_hz > 0.0 && pose - std::floor(pose) > 0.5 ? 1.25 : 1.0;
  const ScreenBox stand = game_actor(settings_);
  const double middle = 0.5 * (stand.left + stand.right);
  const double tall = stand.bottom - stand.top;
  const double half = 0.5 * settings_.actor_w;
  const double top = stand.top - height;
  into.push_back({{middle - 0.55 * half, top, middle + 0.55 * half, top + 0.3 * tall},
                  settings_.actor});  // head
  into.push_back({{middle - half * wide, top + 0.3 * tall, middle + half * wide, top + 0.7 * tall},
                  0.8 * settings_.actor});  // body
  for (const double side : {-1.0, 1.0}) {
    const double leg = middle + side * 0.55 * half;
    into.push_back({{leg - 0.3 * half, top + 0.7 * tall, leg + 0.3 * half, top + tall},
                    0.6 * settings_.actor});
  }
}

void Game::add_menu(std::int64_t refresh, std::vector<Shape>& into) const {
  const auto answered = std::upper_bound(answers_.begin(), answers_.end(), refresh);
  const auto chosen = (answered - answers_.begin() + 1) % kMenuItems;
  const ScreenBox middle = game_actor(settings_);
  const double tall = middle.bottom - middle.top;
  for (int item = 0; item < kMenuItems; ++item) {
    const double top = middle.top + (item - 1) * 1.2 * tall;
    into.push_back({{middle.left, top, middle.right, top + tall},
                    item == chosen ? settings_.actor : 0.4 * settings_.actor});
  }
}

std::vector<Game::Shape> Game::shapes(std::int64_t refresh) const {
  std::vector<Shape> all;
  const double blink = static_cast<double>(refresh) * interval_s_ * settings_.blink_hz;
  if (settings_.blink_hz > 0.0 && blink - std::floor(blink) < 0.6) {
    for (int letter = 0; letter < 8; ++letter) {
      const double left = 0.26 + 0.06 * letter;
      all.push_back({{left, 0.10, left + 0.045, 0.24}, settings_.title});
    }
  }
  if (settings_.kind == GameKind::kFigure) {
    add_figure(refresh, all);
  } else {
    add_menu(refresh, all);
  }
  return all;
}

double Game::level(std::int64_t refresh, const ScreenBox& part) const {
  if (refresh != shapes_of_) {
    shapes_ = shapes(refresh);
    shapes_of_ = refresh;
  }
  const double scrolled = static_cast<double>(refresh) * interval_s_ * settings_.scroll_per_s;
  double value = ground(part, scrolled);
  for (const Shape& shape : shapes_) {
    const double share = covered(part, shape.box);
    value += share * (shape.level - value);
  }
  return value;
}

}  // namespace thumblight::rehearsal
