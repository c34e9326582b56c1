#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "analysis/review/actions.hpp"
#include "analysis/review/frame_view.hpp"
#include "analysis/review/press_view.hpp"
#include "analysis/review/region_drag.hpp"
#include "analysis/review/reviewed_session.hpp"
#include "analysis/review/time_view.hpp"

namespace thumblight::review {

struct ReviewOptions {
  bool again = false;      ///< hides what was found and marked before
  bool blind = false;      ///< mixes the presses, and names no session
  std::uint64_t seed = 0;  ///< of the mixing, and of where a look begins
};

/// The two regions that a person may move.
enum class RegionKind { kPress, kLight };

/// What lies around a region on the screen: whether it is being moved, and where it then is.
struct RegionInHand {
  RegionKind kind = RegionKind::kLight;
  onset::Region region;
};

/// Everything that is seen, chosen and being done in the window, without the window: it knows
/// neither SDL nor a picture. Marks are on the disk when an action returns.
class Review {
 public:
  /// At least one session.
  Review(std::vector<std::unique_ptr<ReviewedSession>> sessions, const ReviewOptions& options);

  /// A key or button, as `actions.hpp` writes them; held keys come again with `again`. False where
  /// it means nothing now. Throws `Error` where a mark could not be saved; nothing has changed
  /// then.
  bool press(std::string_view chord, bool again = false);
  /// A key was let go: regions moved by keys are saved.
  void let_go();
  void act(Action action);
  /// Text typed into the page of reasons.
  void type(std::string_view text);
  /// Time goes on: slow play.
  void pass_time(double seconds);

  void show_frame(std::int64_t frame);
  void show_row(std::size_t row);
  void choose(std::size_t line);  ///< of a page
  /// The mouse takes a region, or, where regions are being moved, draws one anew.
  bool take_region(Point window, double reach);
  void move_region(Point window);
  void drop_region();

  const ReviewOptions& options() const { return options_; }
  Mode mode() const { return mode_; }
  bool uses_pad() const { return uses_pad_; }  ///< the last thing done was done with a controller
  bool has_ended() const { return ended_; }
  bool is_playing() const { return playing_; }
  const std::vector<PressRow>& rows() const { return rows_; }
  std::optional<std::size_t> row() const { return row_; }
  PressView view(std::size_t row) const;
  const ReviewedSession& session() const { return *sessions_[session_]; }
  const ReviewedSession& session(std::size_t index) const { return *sessions_[index]; }
  std::size_t session_index() const { return session_; }
  std::size_t session_count() const { return sessions_.size(); }
  std::int64_t frame() const { return frame_; }
  double frame_s() const { return session().film.time_s(frame_); }
  /// Frames that are looked at next if a person goes to a neighbouring press.
  std::vector<std::int64_t> frames_next() const;
  /// Where a region is: in hand, placed by hand, or found.
  std::optional<onset::Region> region(RegionKind kind) const;
  RegionKind region_kind() const { return region_kind_; }
  bool holds_region() const { return in_hand_.has_value(); }
  const std::vector<std::string>& reasons() const { return reasons_; }
  std::size_t chosen() const { return chosen_; }
  const std::string& typed() const { return typed_; }
  /// What was done last, in a sentence.
  const std::string& message() const { return message_; }
  void tell(std::string message) { message_ = std::move(message); }

  FrameView& frame_view() { return frame_view_; }
  const FrameView& frame_view() const { return frame_view_; }
  TimeView& time_view() { return time_view_; }
  const TimeView& time_view() const { return time_view_; }

 private:
  ReviewedSession& mutable_session() { return *sessions_[session_]; }
  void act_on_regions(Action action);
  void act_on_page(Action action);
  void act_on_look(Action action);
  void act_on_view(Action action);
  void make_rows();
  std::vector<PressRow> mixed_rows() const;
  void enter_session(std::size_t session);
  std::int64_t first_look(const PressRow& row) const;
  void step(std::int64_t frames);
  void step_row(int rows);
  void show_next_instant();
  void mark(marks::What what);
  void add_press();
  void leave_out_or_take_in();
  void leave_out(const std::string& reason);
  void undo(bool again);
  void hold_region();
  void nudge(const Grip& grip, double dx, double dy);
  void next_region();
  void open(Mode mode);
  std::string press_words(std::size_t row) const;
  std::string region_name(RegionKind kind) const;

  std::vector<std::unique_ptr<ReviewedSession>> sessions_;
  ReviewOptions options_;
  std::vector<PressRow> order_;  ///< of a blind look; what is added comes behind it
  std::vector<PressRow> rows_;
  std::optional<std::size_t> row_;
  std::size_t session_ = 0;
  std::int64_t frame_ = 0;
  Mode mode_ = Mode::kLook;
  bool playing_ = false;
  double played_s_ = 0;
  bool ended_ = false;
  bool uses_pad_ = false;
  RegionKind region_kind_ = RegionKind::kLight;
  std::optional<onset::Region> in_hand_;
  std::optional<onset::Region> mouse_start_;
  Grip mouse_grip_;
  bool mouse_spans_ = false;
  Point mouse_from_;
  std::vector<std::string> reasons_;
  std::size_t chosen_ = 0;
  std::string typed_;
  std::string message_;
  FrameView frame_view_;
  TimeView time_view_;
};

}  // namespace thumblight::review
