#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>

#include "analysis/onset/timings.hpp"

/// What a person decided while looking at a recording: one record an action, in the order made.
namespace thumblight::marks {

inline constexpr char kMarksName[] = "marks.jsonl";
inline constexpr char kMarksFormat[] = "thumblight-marks";
inline constexpr int kMarksVersion = 1;

/// No index of a press is larger: a film of that many presses at three a second lasts ten years.
inline constexpr std::int64_t kLargestIndex = 1'000'000'000;
inline constexpr int kLargestPass = 1000;

enum class What { kPress, kLight };

/// "press" or "light".
const char* name(What what);

/// Which press an action is of. The index is that of the timings as the person saw them; `near_s`
/// is where the press was (its press or its light as found, else its first mark), which still
/// finds it after the recording has been read anew and the indices have moved.
struct PressRef {
  std::int64_t index = 0;
  std::optional<double> near_s;
};

/// An instant placed by hand: the first frame that shows it.
struct Mark {
  PressRef at;
  What what = What::kPress;
  double t_s = 0;  ///< of that frame (or sample) on the recording's clock: its exposure begins
  double u_s = 0;  ///< standard uncertainty that the frame time leaves, see `frame_u_s`
  std::optional<std::int64_t> frame;
  int pass = 1;  ///< the first look is 1; each look with the earlier marks hidden one more
};

/// The press counts in no summary; it is shown with the reason.
struct LeaveOut {
  PressRef at;
  std::string reason;
};

/// Takes a press back in that was left out.
struct TakeIn {
  PressRef at;
};

/// Where a part of the picture is: "patch", "press" or "change", in pixels of the upright picture.
struct DraggedRegion {
  std::string name;
  onset::Region region;
};

/// Cancels the record `of`; that of an earlier undo brings back what it had cancelled.
struct Undo {
  std::int64_t of = 0;
};

using Action = std::variant<Mark, LeaveOut, TakeIn, DraggedRegion, Undo>;

/// A line of the file.
struct Entry {
  std::int64_t id = 0;  ///< grows from line to line
  std::string made_utc;
  Action action;
};

/// Standard uncertainty of an instant that lies anywhere within one frame time: half a frame is
/// the half-width of a rectangular distribution (JCGM 100:2008, 4.3.7), T / (2 sqrt 3).
double frame_u_s(double frame_s);

}  // namespace thumblight::marks
