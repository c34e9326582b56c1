#include "analysis/onset/change_looks.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/onset/quantile.hpp"
#include "analysis/onset/surprise.hpp"

namespace thumblight::onset {

void ChangeLooks::find() {
  learn_least_surprise();
  for (std::size_t press = 0; press < question_.press_s.size(); ++press) {
    looks_.push_back(look_after(press));
  }
  if (std::none_of(looks_.begin(), looks_.end(), [](const Look& look) { return look.found; })) {
    return;
  }
  for (int round = 0; round < 3; ++round) {
    sort_by_kind();
    look_for_patterns();
  }
  for (std::size_t kind = 0; kind < patterns_.size(); ++kind) {
    for (int back = 0; back < 4 && step_back(kind); ++back) {
    }
  }
  for (std::size_t kind = 0; kind < patterns_.size(); ++kind) {
    agree_on_first(kind);
    agree_on_first(kind);
  }
}

void ChangeLooks::learn_least_surprise() {
  std::vector<float> ordinary;
  for (std::size_t w = 0; w < quiet_.size(); ++w) {
    const std::vector<float> values =
        surprise_of(motion_.surprises(quiet_[w], static_cast<int>(w % 2)), motion_,
                    question_.layout, foresight_.memory());
    ordinary.insert(ordinary.end(), values.begin() + foresight_.memory(), values.end());
  }
  const float usual = quantile_of(ordinary, 0.5);
  const float above = quantile_of(ordinary, 0.841) - usual;
  least_surprise_ = std::max(1.5F * quantile_of(ordinary, 0.998), usual + 6 * above);
}

Look ChangeLooks::look_after(std::size_t press) const {
  const std::vector<double>& press_s = question_.press_s;
  const double end_s = press + 1 < press_s.size()
                           ? std::min(press_s[press] + kLongestAnswer_s, press_s[press + 1])
                           : press_s[press] + kLongestAnswer_s;
  const std::int64_t pressed = question_.film->first_from(press_s[press] - question_.exposure_s);
  const std::int64_t first =
      std::max<std::int64_t>(0, pressed - foresight_.memory() - 2 * foresight_.horizon);
  Look look;
  look.frames = {first, std::max(first, question_.film->first_from(end_s))};
  const LevelWindow window = read_window(question_, look.frames);
  look.pressed = static_cast<std::size_t>(
      std::max(pressed - first, std::min<std::int64_t>(foresight_.memory(), window.frames())));
  look.surprise =
      surprise_of(motion_.surprises(window), motion_, question_.layout, foresight_.memory());
  look.begin = first_run(look.surprise, look.pressed, least_surprise_);
  look.found = look.begin < look.surprise.size();
  return look;
}

void ChangeLooks::sort_by_kind() {
  constexpr float kAlike = 0.5F;
  constexpr std::size_t kMostKinds = 16;
  std::vector<std::vector<Eigen::VectorXf>> kinds;
  for (Look& look : looks_) {
    if (!look.found) {
      continue;
    }
    const Eigen::VectorXf early = mean_surprise(look, 1, foresight_.lag + 1);
    const Eigen::VectorXf weighed = motion_.weighed(early);
    const float size = early.dot(weighed);
    std::size_t best = kinds.size();
    float most = kAlike;
    for (std::size_t kind = 0; kind < kinds.size(); ++kind) {
      const Eigen::VectorXf middle = middle_of(kinds[kind]);
      const float alike =
          weighed.dot(middle) / std::sqrt(size * middle.dot(motion_.weighed(middle)) + 1e-12F);
      best = alike > most ? kind : best;
      most = std::max(most, alike);
    }
    if (best == kinds.size() && kinds.size() < kMostKinds) {
      kinds.emplace_back();
    }
    look.kind = std::min(best, kinds.size() - 1);
    kinds[look.kind].push_back(early);
  }
  patterns_.clear();
  for (const std::vector<Eigen::VectorXf>& kind : kinds) {
    patterns_.push_back(pattern_of(middle_of(kind), motion_));
  }
}

void ChangeLooks::look_for_patterns() {
  for (ChangePattern& pattern : patterns_) {
    learn_noise(quiet_, motion_, foresight_.memory(), pattern);
  }
  std::vector<char> usual;
  for (std::size_t kind = 0; kind < patterns_.size(); ++kind) {
    usual.push_back(is_rare(kind) ? 0 : 1);
  }
  for (Look& look : looks_) {
    if (!look.found || usual[look.kind] == 0) {
      look_again(look, usual);
    } else {
      take_pattern(look, look.kind);
    }
  }
}

bool ChangeLooks::take_pattern(Look& look, std::size_t kind) {
  const std::vector<float> amount =
      amounts_of(patterns_[kind], read_window(question_, look.frames), motion_, -1);
  const std::size_t begin = first_run(amount, look.pressed, patterns_[kind].least);
  if (begin >= amount.size()) {
    return false;
  }
  look.amount = amount;
  look.kind = kind;
  look.found = true;
  look.begin = stirred_from(look, begin);
  return true;
}

void ChangeLooks::look_again(Look& look, const std::vector<char>& usual) {
  const std::size_t kind = kind_of(look, usual);
  if (kind < patterns_.size() && take_pattern(look, kind)) {
    return;
  }
  look.found = look.found && take_pattern(look, look.kind);
}

std::size_t ChangeLooks::stirred_from(const Look& look, std::size_t begin) const {
  constexpr float kClear = 2;
  const std::size_t earliest =
      std::max(look.pressed,
               begin - std::min<std::size_t>(begin, static_cast<std::size_t>(3 * foresight_.lag)));
  std::size_t from = begin;
  while (from > earliest && look.surprise[from - 1] > kClear * least_surprise_) {
    --from;
  }
  return from;
}

std::size_t ChangeLooks::kind_of(const Look& look, const std::vector<char>& usual) const {
  std::size_t best = patterns_.size();
  float most = 1;
  for (std::size_t kind = 0; kind < patterns_.size(); ++kind) {
    if (usual[kind] == 0) {
      continue;
    }
    const std::vector<float> values =
        amounts_of(patterns_[kind], read_window(question_, look.frames), motion_, -1);
    for (std::size_t i = look.pressed; i < values.size(); ++i) {
      const float stands_out = values[i] / std::max(patterns_[kind].least, 1e-6F);
      best = stands_out > most ? kind : best;
      most = std::max(most, stands_out);
    }
  }
  return best;
}

bool ChangeLooks::step_back(std::size_t kind) {
  constexpr std::size_t kFewest = 4;
  constexpr double kSure = 4;
  constexpr double kLeastStrength = 0.03;
  std::vector<Look*> of_kind;
  std::vector<Eigen::VectorXf> found;
  std::vector<Eigen::VectorXf> before;
  for (Look& look : looks_) {
    if (look.found && look.kind == kind) {
      of_kind.push_back(&look);
      found.push_back(mean_surprise(look, 1, foresight_.lag));
      before.push_back(mean_surprise(look, -foresight_.lag, -1) -
                       mean_surprise(look, -3 * foresight_.lag, -2 * foresight_.lag));
    }
  }
  if (of_kind.size() < kFewest || sureness_of(before, motion_) < kSure ||
      strength_together(before, motion_) < kLeastStrength * strength_together(found, motion_)) {
    return false;
  }
  std::vector<Eigen::VectorXf> first;
  for (Look* look : of_kind) {
    look->begin -= std::min<std::size_t>(look->begin, static_cast<std::size_t>(foresight_.lag));
    first.push_back(mean_surprise(*look, 0, foresight_.lag - 1));
  }
  patterns_[kind] = pattern_of(middle_of(first), motion_);
  learn_noise(quiet_, motion_, foresight_.memory(), patterns_[kind]);
  for (Look* look : of_kind) {
    look->amount = amounts_of(patterns_[kind], read_window(question_, look->frames), motion_, -1);
    const std::size_t begin =
        first_run(look->amount, look->begin > 2 ? look->begin - 2 : 0, patterns_[kind].least);
    const bool near = begin < look->begin + static_cast<std::size_t>(2 * foresight_.lag);
    look->begin = near ? begin : look->begin;
  }
  return true;
}

void ChangeLooks::agree_on_first(std::size_t kind) {
  constexpr double kThere = 0.4;
  constexpr double kSure = 3;
  std::vector<Look*> of_kind;
  std::vector<Eigen::VectorXf> first;
  for (Look& look : looks_) {
    if (look.found && look.kind == kind) {
      of_kind.push_back(&look);
      first.push_back(mean_surprise(look, 1, foresight_.lag));
    }
  }
  if (of_kind.size() < 3) {
    return;
  }
  ChangePattern& pattern = patterns_[kind];
  pattern = pattern_of(middle_of(first), motion_);
  learn_noise(quiet_, motion_, foresight_.memory(), pattern);
  for (Look* look : of_kind) {
    const double before =
        pattern.filter.dot(mean_surprise(*look, -foresight_.lag, -1)) -
        pattern.filter.dot(mean_surprise(*look, -3 * foresight_.lag, -2 * foresight_.lag));
    if (before > std::max<double>(kThere, kSure * pattern.noise)) {
      look->begin -= std::min<std::size_t>(look->begin, static_cast<std::size_t>(foresight_.lag));
    }
  }
}

Eigen::VectorXf ChangeLooks::mean_surprise(const Look& look, std::int64_t from,
                                           std::int64_t to) const {
  const std::int64_t frames = look.frames.last - look.frames.first;
  const auto begin = static_cast<std::int64_t>(look.begin);
  const std::int64_t first = std::clamp(begin + from, foresight_.memory(), frames);
  const std::int64_t last = std::clamp(begin + to, first, frames);
  if (last == first) {
    return Eigen::VectorXf::Zero(question_.layout.cells());
  }
  return motion_.surprises(read_window(question_, look.frames))
      .middleCols(first, last - first)
      .rowwise()
      .mean();
}

bool ChangeLooks::is_rare(std::size_t kind) const {
  constexpr double kFew = 0.12;
  constexpr double kFewOfAll = 0.3;
  const auto found =
      std::count_if(looks_.begin(), looks_.end(), [](const Look& look) { return look.found; });
  const auto alike = std::count_if(looks_.begin(), looks_.end(), [kind](const Look& look) {
    return look.found && look.kind == kind;
  });
  const auto all = static_cast<double>(looks_.size());
  return looks_.size() >= kEnoughToTell &&
         (static_cast<double>(alike) < kFew * all || static_cast<double>(found) < kFewOfAll * all);
}

}  // namespace thumblight::onset
