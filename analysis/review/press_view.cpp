#include "analysis/review/press_view.hpp"

#include <algorithm>

#include "analysis/marks/frame_instant.hpp"

namespace thumblight::review {
namespace {

const onset::PressTiming* found_of(const ReviewedSession& session, std::int64_t index) {
  const std::vector<onset::PressTiming>& presses = session.marks.found().presses;
  const auto found =
      std::find_if(presses.begin(), presses.end(),
                   [index](const onset::PressTiming& press) { return press.index == index; });
  return found != presses.end() ? &*found : nullptr;
}

std::optional<SeenInstant> seen(const std::optional<onset::Instant>& instant,
                                const ReviewedSession& session) {
  if (!instant) {
    return std::nullopt;
  }
  const bool is_frame = session.marks.found().recording.kind != "sound" && instant->frame;
  const std::int64_t frame = is_frame ? *instant->frame : session.film.frame_at(instant->t_s);
  return SeenInstant{instant->t_s, instant->u_s, session.film.clamped(frame), false};
}

/// The mark that counts in this look: of its pass alone where the rest is hidden, else the first
/// pass's, and where that has none the first there is.
const marks::Mark* counted(const marks::PressMarks& press, marks::What what,
                           const ReviewedSession& session) {
  const std::map<int, marks::Mark>& passes = press.of(what);
  const auto own = passes.find(session.pass);
  if (own != passes.end()) {
    return &own->second;
  }
  return session.hides_rest || passes.empty() ? nullptr : &passes.begin()->second;
}

/// A mark is the first frame that shows an instant; the instant itself lies where the exposure
/// says.
std::optional<SeenInstant> seen(const marks::Mark* mark, const ReviewedSession& session) {
  if (mark == nullptr) {
    return std::nullopt;
  }
  const marks::FrameOffset offset =
      marks::frame_offset(session.marks.found().recording, session.film.clock.interval_s);
  const double late_s = mark->what == marks::What::kPress ? offset.press_s : offset.light_s;
  const std::int64_t frame = mark->frame.value_or(session.film.frame_at(mark->t_s));
  return SeenInstant{mark->t_s + late_s, mark->u_s, session.film.clamped(frame), true};
}

std::string doubt_of(const PressView& view, const onset::PressTiming* found) {
  if (found != nullptr && !found->flags.empty()) {
    std::string doubts;
    for (const std::string& flag : found->flags) {
      doubts += (doubts.empty() ? "" : ", ") + flag;
    }
    return doubts;
  }
  if (!view.press) {
    return "its press was not found";
  }
  return view.light ? "" : "its light was not found";
}

void judge(PressView& view, const onset::PressTiming* found, const marks::PressMarks* said,
           bool hides_rest) {
  const bool by_hand = (view.press && view.press->by_hand) || (view.light && view.light->by_hand);
  if (said != nullptr && said->left_out) {
    view.state = PressState::kLeftOut;
    view.reason = *said->left_out;
  } else if (view.total_s().value_or(0) < 0) {
    view.state = PressState::kDoubtful;
    view.reason = "its light lies before its press";
  } else if (by_hand) {
    view.state = PressState::kByHand;
  } else if (hides_rest) {
    view.state = PressState::kUnseen;
  } else {
    view.reason = doubt_of(view, found);
    view.state = view.reason.empty() ? PressState::kFound : PressState::kDoubtful;
  }
}

std::optional<double> first_mark_s(const marks::PressMarks& press) {
  for (const std::map<int, marks::Mark>& passes : {press.press, press.light}) {
    if (!passes.empty()) {
      return passes.begin()->second.t_s;
    }
  }
  return std::nullopt;
}

}  // namespace

const char* name(PressState state) {
  switch (state) {
    case PressState::kFound:
      return "found";
    case PressState::kDoubtful:
      return "doubtful";
    case PressState::kByHand:
      return "by hand";
    case PressState::kLeftOut:
      return "left out";
    case PressState::kUnseen:
      break;
  }
  return "to be seen";
}

std::optional<double> PressView::total_s() const {
  return press && light ? std::optional<double>(light->t_s - press->t_s) : std::nullopt;
}

PressView view_of(const ReviewedSession& session, std::int64_t index) {
  PressView view;
  const onset::PressTiming* found = found_of(session, index);
  const marks::PressMarks* said = session.marks.set().find(index);
  if (found != nullptr && !session.hides_rest) {
    view.found_press = seen(found->press, session);
    view.found_light = seen(found->light, session);
  }
  const auto mark_of = [&](marks::What what) {
    return seen(said != nullptr ? counted(*said, what, session) : nullptr, session);
  };
  view.press = mark_of(marks::What::kPress);
  view.light = mark_of(marks::What::kLight);
  if (!view.press) {
    view.press.swap(view.found_press);
  }
  if (!view.light) {
    view.light.swap(view.found_light);
  }
  judge(view, found, said, session.hides_rest);
  return view;
}

double place_s(const ReviewedSession& session, std::int64_t index) {
  const marks::PressMarks* said = session.marks.set().find(index);
  const onset::PressTiming* found = found_of(session, index);
  if (found != nullptr && found->press) {
    return found->press->t_s;
  }
  if (found != nullptr && found->light) {
    return found->light->t_s;
  }
  const std::optional<double> marked = said != nullptr ? first_mark_s(*said) : std::nullopt;
  return marked.value_or(session.film.time_s(0));
}

std::int64_t place_frame(const ReviewedSession& session, std::int64_t index) {
  const onset::PressTiming* found = found_of(session, index);
  if (found != nullptr && (found->press || found->light)) {
    return seen(found->press ? found->press : found->light, session)->frame;
  }
  return session.film.frame_at(place_s(session, index));
}

std::vector<std::int64_t> presses_of(const ReviewedSession& session) {
  std::vector<std::int64_t> indices = session.wanted.value_or(std::vector<std::int64_t>());
  if (!session.wanted) {
    for (const onset::PressTiming& press : session.marks.found().presses) {
      indices.push_back(press.index);
    }
  }
  for (const auto& [index, press] : session.marks.set().presses()) {
    const bool listed = std::find(indices.begin(), indices.end(), index) != indices.end();
    const bool is_of_pass =
        press.press.contains(session.pass) || press.light.contains(session.pass);
    if (press.added && !listed && (session.wanted ? is_of_pass : press.has_marks())) {
      indices.push_back(index);
    }
  }
  std::stable_sort(indices.begin(), indices.end(), [&session](std::int64_t a, std::int64_t b) {
    return place_s(session, a) < place_s(session, b);
  });
  return indices;
}

}  // namespace thumblight::review
