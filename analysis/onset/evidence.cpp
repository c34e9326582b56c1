#include "analysis/onset/evidence.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include "analysis/onset/evidence_strip.hpp"
#include "analysis/onset/picture_folder.hpp"

namespace thumblight::onset {
namespace {

constexpr std::size_t kBefore = 4;  ///< frames kept before a jump ...
constexpr std::int64_t kAfter = 6;  ///< ... and after it
constexpr std::int64_t kThin = 4;   ///< further back, one frame in so many
constexpr double kUsual_hz = 240;   ///< where a file does not say

double rate_of(const recording::VideoInfo& info) {
  return info.capture_hz.value_or(info.marked_hz.value_or(kUsual_hz));
}

/// Pixels of the film for one of the copy: as sharp as a temporary file of a moderate size allows.
int reduction(const recording::VideoInfo& info) {
  constexpr double kWished_px = 640;
  constexpr double kLeast_px = 320;
  constexpr double kDisk = 6e8;
  const double longest = std::max(info.width, info.height);
  const double area = static_cast<double>(info.width) * info.height;
  const double seconds = info.expected_frames.value_or(4800) / std::max(rate_of(info), 1.0);
  const double frames = std::max(1.0, 2 * seconds) * 26;  // two jumps a second
  const double by_disk = std::sqrt(area * frames / kDisk);
  const double least = longest / kWished_px;
  const double most = std::max(1.0, longest / kLeast_px);
  return static_cast<int>(
      std::ceil(std::clamp(by_disk, std::max(least, 1.0), std::max(most, least)) - 1e-9));
}

CopyForm form_for(const recording::VideoInfo& info) {
  CopyForm form;
  form.step = reduction(info);
  form.width = (info.width + form.step - 1) / form.step;
  form.height = (info.height + form.step - 1) / form.step;
  form.rotation_deg = info.rotation_deg;
  return form;
}

/// How many thinned copies memory holds: a quarter of a second, where that is no great amount.
std::size_t most_held(const recording::VideoInfo& info, const CopyForm& form) {
  constexpr double kMemory_bytes = 12e6;
  constexpr double kBack_s = 0.25;
  constexpr double kLeast = 3;
  const double by_memory = kMemory_bytes / (static_cast<double>(form.width) * form.height);
  return static_cast<std::size_t>(std::clamp(kBack_s * rate_of(info) / static_cast<double>(kThin),
                                             kLeast, std::max(kLeast, by_memory)));
}

std::string name_of(const PressTiming& press) {
  std::string number = std::to_string(press.index);
  number.insert(0, number.size() < 3 ? 3 - number.size() : 0, '0');
  return "press-" + number + ".jpg";
}

}  // namespace

EvidenceKeeper::EvidenceKeeper(const recording::FrameSource& source)
    : store_(form_for(source.info())), most_held_(most_held(source.info(), store_.form())) {}

bool EvidenceKeeper::is_jump(const std::vector<float>& cells) {
  constexpr std::size_t kApart = 3;
  constexpr float kJump = 0.08F;
  bool jump = false;
  if (recent_.size() == kApart) {
    const std::vector<float>& before = recent_.front();
    for (std::size_t i = 0; i < cells.size() && !jump; ++i) {
      jump = cells[i] - before[i] > kJump;
    }
    recent_.push_back(std::move(recent_.front()));
    recent_.pop_front();
    recent_.back() = cells;
  } else {
    recent_.push_back(cells);
  }
  return jump;
}

void EvidenceKeeper::keep(const Copy& copy) {
  if (wants(copy.frame)) {
    store_.keep(copy.frame, copy.pixels);
  }
}

void EvidenceKeeper::keep(const Fresh& fresh) {
  if (!fresh.copy.pixels.empty()) {
    keep(fresh.copy);
  } else if (wants(fresh.copy.frame)) {
    store_.keep(fresh.copy.frame, reduced(fresh.picture.luma, store_.form()));
  }
}

void EvidenceKeeper::keep_thinned() {
  for (const Copy& copy : thinned_) {
    keep(copy);
  }
  thinned_.clear();
}

/// Frames that are no longer the last few live on as small copies, one in `kThin`.
void EvidenceKeeper::retire() {
  while (fresh_.size() > kBefore) {
    if (Copy& copy = fresh_.front().copy; !copy.pixels.empty()) {
      thinned_.push_back(std::move(copy));
    }
    fresh_.pop_front();
  }
  while (thinned_.size() > most_held_) {
    thinned_.pop_front();
  }
}

void EvidenceKeeper::see(std::int64_t frame, const recording::Frame& picture,
                         const std::vector<float>& cells) {
  Fresh fresh{picture, {frame, {}}};
  if (frame % kThin == 0) {
    // While the processor still holds the picture.
    fresh.copy.pixels = reduced(picture.luma, store_.form());
  }
  fresh_.push_back(std::move(fresh));
  if (is_jump(cells)) {
    keep_thinned();
    for (const Fresh& each : fresh_) {
      keep(each);
    }
    keep_until_ = frame + kAfter;
  } else if (frame == 0 || frame <= keep_until_) {
    keep(fresh_.back());
  }
  retire();
}

void EvidenceKeeper::write(const Film& film, const Timings& timings,
                           const std::filesystem::path& folder) {
  const CameraInfo& camera = *timings.recording.camera;
  const auto copy_of = [this](std::int64_t frame) { return store_.copy_of(frame); };
  GreyCopy still;
  for (const PressTiming& press : timings.presses) {
    if (still.empty() && press.light && press.light->frame) {
      still = copy_of(*press.light->frame + 2);
    }
  }
  still = still.empty() ? copy_of(0) : std::move(still);
  if (!camera.patch || still.empty()) {
    return;
  }
  const int step = store_.form().step;
  const bool changes = !timings.recording.light;
  PictureFolder pictures(folder);
  pictures.write_map(region_map(still, camera, step, changes ? "change" : "patch"));
  for (const PressTiming& press : timings.presses) {
    const recording::Picture strip = press_strip(film, press, camera, step, copy_of);
    if (strip.width() > 0) {
      pictures.write_strip(strip, name_of(press));
    }
  }
  pictures.finish();
}

}  // namespace thumblight::onset
