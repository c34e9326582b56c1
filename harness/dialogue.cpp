#include "harness/dialogue.hpp"

#include "harness/pages/screens.hpp"

namespace thumblight::harness {
namespace {

constexpr std::int64_t kAnswer_ns = kSecond_ns;

bool can_answer(Source source) {
  return source != Source::kAxis && source != Source::kHat;
}

void put_up(Screen& screen, const Page& page) {
  screen.set_page(page);
  screen.show(std::nullopt);
}

/// The next event; empty at the deadline. Keeps the page drawn.
std::optional<InputEvent> next_event(Input& input, Screen& screen, const Page& page,
                                     std::int64_t deadline_ns) {
  input.wait_until(deadline_ns);
  const auto event = input.take();
  if (event && event->happening == Happening::kExposed) {
    put_up(screen, page);
  }
  return event;
}

std::optional<Answer> ended_by(const InputEvent& event) {
  if (event.happening == Happening::kInterrupted) {
    return Answer::kInterrupted;
  }
  return event.happening == Happening::kClosed ? std::optional(Answer::kLeave) : std::nullopt;
}

}  // namespace

Answer ask_caution(Clock& clock, Input& input, Screen& screen) {
  const Page page = caution_page(screen.size());
  put_up(screen, page);
  std::optional<InputEvent> held;
  for (;;) {
    const std::int64_t answered_ns =
        held ? held->arrival_ns + kAnswer_ns : clock.now_ns() + kSecond_ns;
    const auto event = next_event(input, screen, page, answered_ns);
    if (held && clock.now_ns() >= answered_ns) {
      return Answer::kGoOn;
    }
    if (!event) {
      continue;
    }
    if (const auto ended = ended_by(*event)) {
      return *ended;
    }
    if (!held && event->happening == Happening::kDown && can_answer(event->control.source)) {
      held = event;
    } else if (held && event->happening == Happening::kUp && event->control == held->control) {
      return Answer::kLeave;
    }
  }
}

Learned learn_control(Clock& clock, Input& input, Screen& screen, const Control& escape) {
  const Page page = learn_page(screen.size());
  put_up(screen, page);
  for (;;) {
    const auto event = next_event(input, screen, page, clock.now_ns() + kSecond_ns);
    if (!event) {
      continue;
    }
    if (const auto ended = ended_by(*event)) {
      return {*ended, std::nullopt};
    }
    if (event->happening == Happening::kDown) {
      return event->control == escape ? Learned{} : Learned{Answer::kGoOn, event->control};
    }
  }
}

Answer wait_for_any(Clock& clock, Input& input, Screen& screen, const Page& page) {
  put_up(screen, page);
  for (;;) {
    const auto event = next_event(input, screen, page, clock.now_ns() + kSecond_ns);
    if (!event) {
      continue;
    }
    if (const auto ended = ended_by(*event)) {
      return *ended;
    }
    if (event->happening == Happening::kDown && can_answer(event->control.source)) {
      return Answer::kGoOn;
    }
  }
}

}  // namespace thumblight::harness
