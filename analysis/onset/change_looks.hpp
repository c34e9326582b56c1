#pragma once

#include <vector>

#include "analysis/onset/change_pattern.hpp"
#include "analysis/onset/find_change.hpp"
#include "analysis/onset/quiet_time.hpp"

namespace thumblight::onset {

/// What is known of what followed one press.
struct Look {
  Stretch frames;           ///< from its memory before the press to the end of what may answer it
  std::size_t pressed = 0;  ///< first frame that can show an answer
  std::vector<float> surprise;  ///< of all cells together, frame by frame
  std::vector<float> amount;    ///< of the pattern
  std::size_t begin = 0;
  std::size_t kind = 0;
  bool found = false;
};

/// Presses of which the odd ones can be told.
inline constexpr std::size_t kEnoughToTell = 5;

/// Looks after each press for what is out of the ordinary, and learns from all what answers look
/// like.
class ChangeLooks {
 public:
  /// All must outlive it.
  ChangeLooks(const ChangeQuestion& question, const Foresight& foresight,
              const std::vector<LevelWindow>& quiet, const OrdinaryMotion& motion)
      : question_(question), foresight_(foresight), quiet_(quiet), motion_(motion) {}

  void find();

  const std::vector<Look>& looks() const { return looks_; }
  const ChangePattern& pattern(std::size_t kind) const { return patterns_[kind]; }
  /// What stands out of the quiet time.
  float least_surprise() const { return least_surprise_; }
  /// Mean surprise of frames, counted from the look's begin.
  Eigen::VectorXf mean_surprise(const Look& look, std::int64_t from, std::int64_t to) const;
  /// Whether so few presses show this that it may have nothing to do with them.
  bool is_rare(std::size_t kind) const;

 private:
  void learn_least_surprise();
  Look look_after(std::size_t press) const;
  /// Sorts the looks that found something by what they show shortly after it began.
  void sort_by_kind();
  void look_for_patterns();
  /// Where the look shows that pattern; whether it does.
  bool take_pattern(Look& look, std::size_t kind);
  /// What shows nothing, or something else than most others do, may show it later or fainter.
  void look_again(Look& look, const std::vector<char>& usual);
  /// Where the part begins to stir without a pause until the pattern shows: a first picture may
  /// look other than those after it.
  std::size_t stirred_from(const Look& look, std::size_t begin) const;
  /// The usual pattern that a look shows most of; none where none stands out.
  std::size_t kind_of(const Look& look, const std::vector<char>& usual) const;
  /// The picture before the one found may have changed too, only in other cells or by less than one
  /// press shows. What half of the presses show there is looked for in the other half.
  bool step_back(std::size_t kind);
  /// Presses that show a picture earlier what the others show first begin there.
  void agree_on_first(std::size_t kind);

  const ChangeQuestion& question_;
  Foresight foresight_;
  const std::vector<LevelWindow>& quiet_;
  const OrdinaryMotion& motion_;
  std::vector<Look> looks_;
  std::vector<ChangePattern> patterns_;
  float least_surprise_ = 0;
};

}  // namespace thumblight::onset
