#include "analysis/review/review.hpp"

#include <algorithm>
#include <random>

#include "analysis/marks/blind_order.hpp"

namespace thumblight::review {
namespace {

constexpr double kSlowFrames_hz = 12;  ///< of slow play
constexpr double kZoomStep = 1.5;
constexpr double kPanStep = 0.15;  ///< share of what is seen
constexpr double kTimeStep = 1.5;
constexpr double kFarPixels = 10;

const std::vector<std::string> kReasons = {
    "something hides the button or the screen",
    "the button was not pressed once alone",
    "nothing on the screen answers",
    "frames are missing here",
    "the picture is too dark or out of focus",
};

struct Nudge {
  Action action;
  Grip grip;
  double dx;
  double dy;
};

constexpr Grip kWhole = {};
constexpr Grip kRight = {false, true, false, false};
constexpr Grip kBottom = {false, false, false, true};
constexpr double kFar = kFarPixels;

constexpr Nudge kNudges[] = {
    {Action::kMoveLeft, kWhole, -1, 0},        {Action::kMoveRight, kWhole, 1, 0},
    {Action::kMoveUp, kWhole, 0, -1},          {Action::kMoveDown, kWhole, 0, 1},
    {Action::kFarLeft, kWhole, -kFar, 0},      {Action::kFarRight, kWhole, kFar, 0},
    {Action::kFarUp, kWhole, 0, -kFar},        {Action::kFarDown, kWhole, 0, kFar},
    {Action::kNarrower, kRight, -1, 0},        {Action::kWider, kRight, 1, 0},
    {Action::kLower, kBottom, 0, -1},          {Action::kTaller, kBottom, 0, 1},
    {Action::kMuchNarrower, kRight, -kFar, 0}, {Action::kMuchWider, kRight, kFar, 0},
    {Action::kMuchLower, kBottom, 0, -kFar},   {Action::kMuchTaller, kBottom, 0, kFar},
};

std::optional<onset::Region> found_region(const ReviewedSession& session, RegionKind kind) {
  const std::optional<onset::CameraInfo>& camera = session.marks.found().recording.camera;
  if (!camera) {
    return std::nullopt;
  }
  return kind == RegionKind::kPress ? camera->press : camera->patch;
}

std::string region_key(const ReviewedSession& session, RegionKind kind) {
  return kind == RegionKind::kPress ? "press" : session.light_region();
}

}  // namespace

Review::Review(std::vector<std::unique_ptr<ReviewedSession>> sessions, const ReviewOptions& options)
    : sessions_(std::move(sessions)), options_(options), reasons_(kReasons) {
  if (options_.blind) {
    order_ = mixed_rows();
  }
  make_rows();
  enter_session(rows_.empty() ? 0 : rows_.front().session);
  if (!rows_.empty()) {
    show_row(0);
  }
}

void Review::make_rows() {
  const std::optional<PressRow> held = row_ ? std::make_optional(rows_[*row_]) : std::nullopt;
  rows_ = order_;
  for (std::size_t session = 0; session < sessions_.size(); ++session) {
    for (const std::int64_t index : presses_of(*sessions_[session])) {
      const PressRow row = {session, index};
      if (std::find(order_.begin(), order_.end(), row) == order_.end()) {
        rows_.push_back(row);
      }
    }
  }
  row_.reset();
  const auto found = held ? std::find(rows_.begin(), rows_.end(), *held) : rows_.end();
  if (found != rows_.end()) {
    row_ = static_cast<std::size_t>(found - rows_.begin());
  }
}

/// The presses of all sessions mixed, for a look that names none.
std::vector<PressRow> Review::mixed_rows() const {
  std::vector<marks::BlindSession> sessions;
  for (const auto& session : sessions_) {
    sessions.push_back({session->folder, presses_of(*session)});
  }
  const marks::BlindOrder order(sessions, options_.seed);
  std::vector<PressRow> rows;
  for (std::size_t place = 0; place < order.size(); ++place) {
    rows.push_back({order.at(place).session, order.at(place).index});
  }
  return rows;
}

void Review::enter_session(std::size_t session) {
  session_ = session;
  const ReviewedFrames& film = sessions_[session]->film;
  frame_view_.set_picture(film.upright_width(), film.upright_height());
  time_view_.set_recording(film.clock.time_s.front(),
                           film.clock.time_s.back() + film.clock.interval_s, film.clock.interval_s);
}

PressView Review::view(std::size_t row) const {
  return view_of(session(rows_[row].session), rows_[row].index);
}

/// A look begins at the press; one that hides where that is, some frames before it, never as many.
std::int64_t Review::first_look(const PressRow& row) const {
  const ReviewedSession& session = *sessions_[row.session];
  const std::int64_t place = place_frame(session, row.index);
  if (!session.hides_rest && !options_.blind) {
    return place;
  }
  std::mt19937_64 engine(options_.seed + 1000003U * static_cast<std::uint64_t>(row.index) +
                         row.session);
  return session.film.clamped(place - static_cast<std::int64_t>(5 + engine() % 16));
}

void Review::show_frame(std::int64_t frame) {
  frame_ = session().film.clamped(frame);
  time_view_.follow(frame_s());
}

void Review::show_row(std::size_t row) {
  if (row >= rows_.size()) {
    return;
  }
  row_ = row;
  if (rows_[row].session != session_) {
    enter_session(rows_[row].session);
  }
  frame_ = first_look(rows_[row]);
  const std::optional<double> total_s = view(row).total_s();
  time_view_.centre_on(frame_s() + total_s.value_or(0) / 2);
}

std::vector<std::int64_t> Review::frames_next() const {
  std::vector<std::int64_t> frames;
  for (const int step : {1, -1}) {
    const std::size_t next = row_ ? *row_ + static_cast<std::size_t>(step) : rows_.size();
    if (next < rows_.size() && rows_[next].session == session_) {
      frames.push_back(first_look(rows_[next]));
    }
  }
  return frames;
}

void Review::step(std::int64_t frames) {
  playing_ = false;
  show_frame(frame_ + frames);
}

void Review::step_row(int rows) {
  playing_ = false;
  if (rows_.empty()) {
    message_ = "there is no press yet; N places one in this frame";
    return;
  }
  const auto last = static_cast<std::ptrdiff_t>(rows_.size()) - 1;
  const std::ptrdiff_t now = row_ ? static_cast<std::ptrdiff_t>(*row_) : -rows;
  show_row(static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(now + rows, 0, last)));
}

void Review::show_next_instant() {
  if (!row_) {
    return;
  }
  playing_ = false;
  const PressView shown = view(*row_);
  const bool at_press = shown.press && shown.press->frame == frame_;
  const std::optional<SeenInstant>& next = at_press || !shown.press ? shown.light : shown.press;
  if (next) {
    show_frame(next->frame);
  }
}

void Review::pass_time(double seconds) {
  if (!playing_) {
    return;
  }
  played_s_ += seconds;
  const auto frames = static_cast<std::int64_t>(played_s_ * kSlowFrames_hz);
  played_s_ -= static_cast<double>(frames) / kSlowFrames_hz;
  show_frame(frame_ + frames);
  playing_ = frame_ + 1 < session().film.frames();
}

std::string Review::press_words(std::size_t row) const {
  return "press " + std::to_string(row + 1);
}

void Review::mark(marks::What what) {
  if (!row_) {
    add_press();
    return;
  }
  ReviewedSession& session = mutable_session();
  session.marks.mark(rows_[*row_].index, what, session.chosen(frame_), session.pass);
  const std::string words =
      press_words(*row_) + ": its " + marks::name(what) + " is placed in this frame";
  make_rows();
  message_ = words;
}

void Review::add_press() {
  ReviewedSession& session = mutable_session();
  const std::int64_t index =
      session.marks.add_press(marks::What::kPress, session.chosen(frame_), session.pass);
  make_rows();
  const auto added = std::find(rows_.begin(), rows_.end(), PressRow{session_, index});
  row_ = static_cast<std::size_t>(added - rows_.begin());
  message_ = press_words(*row_) + " is new, its press in this frame; L places its light";
}

void Review::leave_out_or_take_in() {
  if (!row_) {
    return;
  }
  if (view(*row_).state != PressState::kLeftOut) {
    open(Mode::kReasons);
    return;
  }
  mutable_session().marks.take_in(rows_[*row_].index);
  message_ = press_words(*row_) + " counts again";
}

void Review::leave_out(const std::string& reason) {
  mutable_session().marks.leave_out(rows_[*row_].index, reason);
  message_ = press_words(*row_) + " is left out: " + reason;
}

/// Of several sessions the one whose last action is the latest.
void Review::undo(bool again) {
  in_hand_.reset();
  std::size_t latest = session_;
  if (!again) {
    for (std::size_t k = 0; k < sessions_.size(); ++k) {
      if (sessions_[k]->marks.undo_made_utc() > sessions_[latest]->marks.undo_made_utc()) {
        latest = k;
      }
    }
  }
  marks::SessionMarks& marks = sessions_[latest]->marks;
  const bool done = again ? marks.redo() : marks.undo();
  make_rows();
  if (!row_ && !rows_.empty()) {
    show_row(0);
  }
  message_ = done ? (again ? "done again" : "undone")
                  : (again ? "nothing was undone that could be done again" : "nothing to undo");
}

std::string Review::region_name(RegionKind kind) const {
  return kind == RegionKind::kPress ? "the region of the press" : "the region of the light";
}

std::optional<onset::Region> Review::region(RegionKind kind) const {
  if (in_hand_ && kind == region_kind_) {
    return in_hand_;
  }
  const auto& placed = session().marks.set().regions();
  const auto found = placed.find(region_key(session(), kind));
  return found != placed.end() ? std::optional<onset::Region>(found->second)
                               : found_region(session(), kind);
}

void Review::hold_region() {
  if (!in_hand_) {
    in_hand_ = region(region_kind_)
                   .value_or(first_region(session().film.upright_width(),
                                          session().film.upright_height()));
  }
}

void Review::nudge(const Grip& grip, double dx, double dy) {
  hold_region();
  in_hand_ = dragged(*in_hand_, grip, dx, dy, session().film.upright_width(),
                     session().film.upright_height());
}

void Review::let_go() {
  if (in_hand_ && !mouse_start_) {
    drop_region();
  }
}

void Review::drop_region() {
  mouse_start_.reset();
  mouse_spans_ = false;
  if (!in_hand_) {
    return;
  }
  const onset::Region region = *in_hand_;
  in_hand_.reset();
  mutable_session().marks.drag_region(region_key(session(), region_kind_), region);
  message_ = region_name(region_kind_) + " is saved";
}

void Review::next_region() {
  let_go();
  if (mode_ == Mode::kRegions) {
    region_kind_ = region_kind_ == RegionKind::kLight ? RegionKind::kPress : RegionKind::kLight;
  }
  open(Mode::kRegions);
  message_ = "arrows move " + region_name(region_kind_) + ", with Ctrl they size it";
}

bool Review::take_region(Point window, double reach) {
  for (const RegionKind kind : {region_kind_, RegionKind::kPress, RegionKind::kLight}) {
    const std::optional<onset::Region> here = region(kind);
    const auto grip = here ? grip_at(frame_view_.to_window(*here), window, reach) : std::nullopt;
    if (grip) {
      region_kind_ = kind;
      mouse_grip_ = *grip;
      mouse_start_ = here;
      mouse_from_ = frame_view_.to_picture(window);
      return true;
    }
  }
  if (mode_ == Mode::kRegions) {
    mouse_from_ = frame_view_.to_picture(window);
    mouse_start_ = onset::Region{};
    mouse_spans_ = true;
  }
  return mode_ == Mode::kRegions;
}

void Review::move_region(Point window) {
  if (!mouse_start_) {
    return;
  }
  const Point now = frame_view_.to_picture(window);
  const double width = session().film.upright_width();
  const double height = session().film.upright_height();
  in_hand_ = mouse_spans_ ? spanned(mouse_from_, now, width, height)
                          : dragged(*mouse_start_, mouse_grip_, now.x - mouse_from_.x,
                                    now.y - mouse_from_.y, width, height);
}

void Review::open(Mode mode) {
  mode_ = mode;
  playing_ = false;
  chosen_ = 0;
  typed_.clear();
}

void Review::type(std::string_view text) {
  constexpr std::size_t kLongest = 120;
  if (mode_ == Mode::kReasons && typed_.size() + text.size() <= kLongest) {
    typed_ += text;
    chosen_ = reasons_.size();
  }
}

void Review::choose(std::size_t line) {
  chosen_ = line;
  act(Action::kChoose);
}

void Review::act_on_page(Action action) {
  const std::size_t lines =
      mode_ == Mode::kHelp ? bindings(Mode::kLook).size() : reasons_.size() + 1;
  if (action == Action::kChooseUp || action == Action::kChooseDown) {
    chosen_ = (chosen_ + (action == Action::kChooseUp ? lines - 1 : 1)) % lines;
  } else if (action == Action::kErase) {
    while (!typed_.empty() && (static_cast<unsigned char>(typed_.back()) & 0xC0U) == 0x80U) {
      typed_.pop_back();
    }
    if (!typed_.empty()) {
      typed_.pop_back();
    }
  } else if (action == Action::kClose) {
    open(Mode::kLook);
  } else if (action == Action::kChoose && mode_ == Mode::kHelp) {
    const Action wanted = bindings(Mode::kLook)[std::min(chosen_, lines - 1)].action;
    open(Mode::kLook);
    if (wanted != Action::kHelp) {
      act(wanted);
    }
  } else if (action == Action::kChoose) {
    const std::string reason = chosen_ < reasons_.size() ? reasons_[chosen_] : typed_;
    if (!reason.empty()) {
      leave_out(reason);
      open(Mode::kLook);
    }
  }
}

void Review::act_on_regions(Action action) {
  for (const Nudge& way : kNudges) {
    if (way.action == action) {
      nudge(way.grip, way.dx, way.dy);
      return;
    }
  }
  if (action == Action::kDone) {
    let_go();
    open(Mode::kLook);
  } else {
    act_on_look(action);
  }
}

void Review::act_on_view(Action action) {
  switch (action) {
    case Action::kZoomIn:
      return frame_view_.zoom(kZoomStep);
    case Action::kZoomOut:
      return frame_view_.zoom(1 / kZoomStep);
    case Action::kFit:
      return frame_view_.fit();
    case Action::kPanLeft:
      return frame_view_.pan_share(-kPanStep, 0);
    case Action::kPanRight:
      return frame_view_.pan_share(kPanStep, 0);
    case Action::kPanUp:
      return frame_view_.pan_share(0, -kPanStep);
    case Action::kPanDown:
      return frame_view_.pan_share(0, kPanStep);
    case Action::kLessTime:
      return time_view_.stretch(1 / kTimeStep, frame_s());
    case Action::kMoreTime:
      return time_view_.stretch(kTimeStep, frame_s());
    default:
      return;
  }
}

void Review::act_on_look(Action action) {
  switch (action) {
    case Action::kStepOn:
      return step(1);
    case Action::kStepBack:
      return step(-1);
    case Action::kTenOn:
      return step(10);
    case Action::kTenBack:
      return step(-10);
    case Action::kNextPress:
      return step_row(1);
    case Action::kPreviousPress:
      return step_row(-1);
    case Action::kNextInstant:
      return show_next_instant();
    case Action::kPlay:
      playing_ = !playing_;
      played_s_ = 0;
      return;
    case Action::kMarkPress:
      return mark(marks::What::kPress);
    case Action::kMarkLight:
      return mark(marks::What::kLight);
    case Action::kAddPress:
      return add_press();
    case Action::kLeaveOut:
      return leave_out_or_take_in();
    case Action::kUndo:
      return undo(false);
    case Action::kRedo:
      return undo(true);
    case Action::kRegions:
      return next_region();
    case Action::kHelp:
      return open(Mode::kHelp);
    default:
      return act_on_view(action);
  }
}

void Review::act(Action action) {
  if (action == Action::kQuit) {
    let_go();
    ended_ = true;
  } else if (mode_ == Mode::kRegions) {
    act_on_regions(action);
  } else if (mode_ == Mode::kLook) {
    act_on_look(action);
  } else {
    act_on_page(action);
  }
}

bool Review::press(std::string_view chord, bool again) {
  const std::optional<Action> action = action_of(mode_, chord);
  if (!action || (again && !repeats(*action))) {
    return false;
  }
  message_.clear();
  uses_pad_ = chord.starts_with("pad ");
  act(*action);
  return true;
}

}  // namespace thumblight::review
