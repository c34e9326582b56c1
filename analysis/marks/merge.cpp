#include "analysis/marks/merge.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/marks/frame_instant.hpp"
#include "analysis/marks/marks_reader.hpp"
#include "analysis/marks/repeatability.hpp"
#include "analysis/onset/timings_forms.hpp"
#include "analysis/onset/warnings.hpp"
#include "harness/session/error.hpp"

namespace thumblight::marks {
namespace {

using onset::Instant;
using onset::PressTiming;
using onset::WarningCode;
using Passes = std::map<int, Mark>;

/// Whether a mark can be of this recording: its end is known where the frames were counted.
bool lies_within(const Mark& mark, const onset::RecordingInfo& recording) {
  if (!recording.camera || recording.camera->frames <= 0) {
    return true;
  }
  const onset::CameraInfo& camera = *recording.camera;
  if (mark.frame && *mark.frame >= camera.frames) {
    return false;
  }
  constexpr double kSlackSeconds = 1;  // uneven stamps
  const std::optional<double> frame_s = frame_time_s(recording);
  const auto frames = static_cast<double>(camera.frames + camera.dropped);
  return mark.t_s >= -kSlackSeconds &&
         (!frame_s || mark.t_s <= 1.01 * frames * *frame_s + kSlackSeconds);
}

/// The marks of a recording, without those outside it.
class Merger {
 public:
  Merger(onset::Timings& timings, const MarkSet& set) : timings_(timings) {
    for (std::size_t k = 0; k < timings.presses.size(); ++k) {
      places_.emplace(timings.presses[k].index, k);
    }
    for (const auto& [index, press] : set.presses()) {
      PressMarks& kept = presses_.emplace_back(press);
      keep_within(kept.press);
      keep_within(kept.light);
    }
    by_hand_.passes = set.last_pass();
    by_hand_.press = repeatability(What::kPress);
    by_hand_.light = repeatability(What::kLight);
  }

  void merge() {
    for (const PressMarks& marks : presses_) {
      if (PressTiming* press = press_of(marks); press != nullptr) {
        put(*press, marks);
      }
    }
    sort_presses();
    drop_doubts(&PressTiming::press, "press");
    drop_doubts(&PressTiming::light, "light");
    share_exposure();
    if (beyond_ > 0) {
      timings_.warnings.push_back(
          onset::make_warning(WarningCode::kMarksBeyond, std::to_string(beyond_)));
    }
    timings_.by_hand = by_hand_;
  }

 private:
  void keep_within(Passes& passes) {
    beyond_ += std::erase_if(
        passes, [this](const auto& pass) { return !lies_within(pass.second, timings_.recording); });
  }

  std::optional<onset::Repeatability> repeatability(What what) const {
    std::vector<std::vector<double>> times_s;
    for (const PressMarks& press : presses_) {
      if (press.left_out) {
        continue;
      }
      std::vector<double>& of_one = times_s.emplace_back();
      for (const auto& [pass, mark] : press.of(what)) {
        of_one.push_back(mark.t_s);
      }
    }
    return repeatability_of(times_s);
  }

  /// Null for a press of which nothing is left.
  PressTiming* press_of(const PressMarks& marks) {
    const auto found = places_.find(marks.index);
    if (found != places_.end()) {
      return &timings_.presses[found->second];
    }
    if (!marks.has_marks()) {
      return nullptr;
    }
    ++by_hand_.added;
    PressTiming& added = timings_.presses.emplace_back();
    added.index = marks.index;
    return &added;
  }

  void put(PressTiming& press, const PressMarks& marks) {
    if (!marks.press.empty()) {
      press.press = instant_of(marks.press, by_hand_.press, What::kPress);
      std::erase(press.flags, "no-press");
      ++by_hand_.presses;
    }
    if (!marks.light.empty()) {
      press.light = instant_of(marks.light, by_hand_.light, What::kLight);
      std::erase(press.flags, "no-light");
      std::erase(press.flags, onset::kDoubtful);
      ++by_hand_.lights;
    }
    press.left_out = marks.left_out;
    by_hand_.left_out += marks.left_out ? 1 : 0;
  }

  /// Time of the frames that were marked; the marks state half of it as their uncertainty.
  double frame_s(double u_s) const {
    const double stated_s = u_s / frame_u_s(1);
    return std::max(stated_s, frame_time_s(timings_.recording).value_or(0));
  }

  Instant instant_of(const Passes& passes, const std::optional<onset::Repeatability>& repeats,
                     What what) {
    const auto n = static_cast<double>(passes.size());
    Instant instant;
    double u_s = 0;
    double frames = 0;
    bool has_frames = true;
    for (const auto& [pass, mark] : passes) {
      instant.t_s += mark.t_s / n;
      u_s = std::max(u_s, mark.u_s);
      has_frames = has_frames && mark.frame.has_value();
      frames += static_cast<double>(mark.frame.value_or(0)) / n;
    }
    const double frame = frame_s(u_s);
    const FrameOffset offset = frame_offset(timings_.recording, frame);
    u_both_s_ = std::max(u_both_s_, offset.u_both_s);
    instant.t_s += what == What::kPress ? offset.press_s : offset.light_s;
    instant.u_s = std::max(frame_u_s(frame), repeats ? repeats->sd_s / std::sqrt(n) : 0);
    instant.how = "mark";
    if (has_frames) {
      instant.frame = std::llround(frames);
    }
    instant.passes = static_cast<int>(passes.size());
    return instant;
  }

  void sort_presses() {
    const auto place = [](const PressTiming& press) {
      return press.press ? press.press->t_s : press.light ? press.light->t_s : 0;
    };
    std::stable_sort(
        timings_.presses.begin(), timings_.presses.end(),
        [&](const PressTiming& a, const PressTiming& b) { return place(a) < place(b); });
    if (const auto disorder = onset::find_disorder(timings_.presses)) {
      throw Error(std::string(kMarksName) + ": the marks put the " + disorder->what + " of press " +
                  std::to_string(timings_.presses[disorder->at].index) +
                  " before that of an earlier press; look at both again (review), or leave one "
                  "out");
    }
  }

  /// Where no instant of its kind is as it was found, what shifted the found ones is gone; but the
  /// rows of the readout stay, for marks are seen on them too.
  void drop_doubts(std::optional<Instant> PressTiming::*member, const char* on) {
    const bool one_is_found = std::any_of(timings_.presses.begin(), timings_.presses.end(),
                                          [&](const PressTiming& press) {
                                            const std::optional<Instant>& instant = press.*member;
                                            return instant && !instant->passes && !press.left_out;
                                          });
    if (!one_is_found) {
      std::erase_if(timings_.recording.shared, [on](const onset::SharedDoubt& doubt) {
        return doubt.on == on && doubt.source != onset::kReadout;
      });
    }
  }

  /// The open exposure shifts all marked instants alike: it cancels where both instants of a press
  /// are marked, and shifts the mean total by the share of the presses that have one alone.
  void share_exposure() {
    double n = 0;
    double press_alone = 0;
    double light_alone = 0;
    for (const PressTiming& press : timings_.presses) {
      if (press.press && press.light && !press.left_out) {
        const bool marked_press = press.press->passes.has_value();
        const bool marked_light = press.light->passes.has_value();
        n += 1;
        press_alone += marked_press && !marked_light ? 1 : 0;
        light_alone += marked_light && !marked_press ? 1 : 0;
      }
    }
    const double share = n > 0 ? std::max(press_alone, light_alone) / n : 0;
    add_shared("total", u_both_s_ * share);
    add_shared("both", u_both_s_ * (1 - share));
  }

  void add_shared(const char* on, double u_s) {
    if (u_s > 0) {
      timings_.recording.shared.push_back({"exposure of marked frames", on, u_s});
    }
  }

  onset::Timings& timings_;
  std::map<std::int64_t, std::size_t> places_;  ///< of the found presses, by their index
  std::vector<PressMarks> presses_;
  onset::HandMarks by_hand_;
  std::size_t beyond_ = 0;
  double u_both_s_ = 0;
};

/// By the name alone.
std::string kind_of(const std::filesystem::path& recording) {
  if (std::filesystem::is_directory(recording)) {
    return "images";
  }
  const std::string ending = recording.extension().string();
  if (ending == ".csv") {
    return "samples";
  }
  return ending == ".wav" || ending == ".flac" || ending == ".w64" ? "sound" : "video";
}

}  // namespace

onset::Timings with_marks(onset::Timings found, const MarkSet& set) {
  if (set.strays() > 0) {
    found.warnings.push_back(
        onset::make_warning(WarningCode::kMarksStray, std::to_string(set.strays())));
  }
  if (!set.presses().empty()) {
    Merger(found, set).merge();
  }
  return found;
}

onset::Timings with_marks_in(const std::filesystem::path& folder, onset::Timings found) {
  const MarkLog log = read_marks(folder / kMarksName);
  if (log.cut) {
    found.warnings.push_back(onset::make_warning(WarningCode::kMarksCut, ""));
  }
  const MarkSet set(log.entries, found);
  return with_marks(std::move(found), set);
}

onset::Timings nothing_found(const std::filesystem::path& recording, const std::string& why) {
  onset::Timings timings;
  timings.recording.file = recording.filename().string();
  timings.recording.kind = kind_of(recording);
  timings.recording.clock.source = "stamps";
  timings.warnings.push_back(onset::make_warning(WarningCode::kNothingFound, why));
  return timings;
}

}  // namespace thumblight::marks
