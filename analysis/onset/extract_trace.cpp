#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdio>
#include <string>

#include "analysis/onset/extract.hpp"
#include "analysis/onset/longest_delay.hpp"
#include "analysis/onset/pair_instants.hpp"
#include "analysis/onset/regions.hpp"
#include "analysis/onset/sample_step.hpp"
#include "analysis/onset/trace.hpp"
#include "analysis/onset/trace_sources.hpp"
#include "analysis/onset/warnings.hpp"
#include "harness/session/error.hpp"

namespace thumblight::onset {
namespace {

constexpr double kBefore_s = 0.05;
constexpr double kAfter_s = 0.14;
constexpr double kBounce_s = 0.03;

/// Edges that switch a channel on: those after which it stays for the shorter while, since patch
/// and button rest for longer than they are lit or held.
std::vector<TraceEdge> on_edges(const std::vector<TraceEdge>& edges) {
  double after_up = 0;
  double after_down = 0;
  double ups = 0;
  double downs = 0;
  for (std::size_t i = 0; i + 1 < edges.size(); ++i) {
    const double stay_s = edges[i + 1].time_s - edges[i].time_s;
    if ((edges[i].height > 0) != (edges[i + 1].height > 0)) {
      (edges[i].height > 0 ? after_up : after_down) += std::min(stay_s, 5.0);
      (edges[i].height > 0 ? ups : downs) += 1;
    }
  }
  bool up = !edges.empty() && edges.front().height > 0;
  if (ups > 0 && downs > 0) {
    up = after_up / ups <= after_down / downs;
  }
  std::vector<TraceEdge> on;
  double last_s = -1e18;
  for (const TraceEdge& edge : edges) {
    // What follows within the bounce of an edge, either way, is part of it.
    if ((edge.height > 0) == up && edge.time_s - last_s > kBounce_s) {
      on.push_back(edge);
    }
    last_s = edge.time_s;
  }
  return on;
}

/// Which channel is which; -1 where there is none.
struct Roles {
  int light = -1;
  int press = -1;
};

/// How many edges of `late` have one of `early` a plausible delay before them.
int led(const std::vector<TraceEdge>& early, const std::vector<TraceEdge>& late) {
  int count = 0;
  for (const TraceEdge& edge : late) {
    count += std::any_of(early.begin(), early.end(),
                         [&](const TraceEdge& other) {
                           const double delay_s = edge.time_s - other.time_s;
                           return delay_s > -0.001 && delay_s < kLongestDelay_s / 2;
                         })
                 ? 1
                 : 0;
  }
  return count;
}

double mean_delay_s(const std::vector<TraceEdge>& early, const std::vector<TraceEdge>& late) {
  double sum = 0;
  double count = 0;
  for (const TraceEdge& edge : late) {
    for (const TraceEdge& other : early) {
      const double delay_s = edge.time_s - other.time_s;
      if (delay_s > -0.001 && delay_s < kLongestDelay_s / 2) {
        sum += delay_s;
        count += 1;
        break;
      }
    }
  }
  return count > 0 ? sum / count : 1e9;
}

Roles choose_roles(const TraceSketch& sketch, const Setup& setup, const Roles& named) {
  const auto channels = static_cast<int>(sketch.channels.size());
  Roles roles = named;
  roles.light = setup.light_channel.value_or(roles.light);
  roles.press = setup.press_channel.value_or(roles.press);
  if (roles.light >= channels || roles.press >= channels) {
    throw Error("the set-up names channel " + std::to_string(std::max(roles.light, roles.press)) +
                " but the recording has " + std::to_string(channels) + "; count from 0");
  }
  if (roles.light >= 0 || channels < 2) {
    roles.light = roles.light < 0 && roles.press < 0 ? 0 : roles.light;
    return roles;
  }
  if (roles.press >= 0) {
    roles.light = roles.press == 0 ? 1 : 0;
    return roles;
  }
  // The contact comes first, edge after edge.
  const std::vector<TraceEdge> first = on_edges(sketch.channels[0].edges);
  const std::vector<TraceEdge> second = on_edges(sketch.channels[1].edges);
  const int first_leads = led(first, second);
  const int second_leads = led(second, first);
  const bool press_is_first =
      first_leads > second_leads ||
      (first_leads == second_leads && mean_delay_s(first, second) < mean_delay_s(second, first));
  return press_is_first ? Roles{1, 0} : Roles{0, 1};
}

/// Cuts the windows around the edges of one channel out of a second pass over the trace.
class WindowCutter {
 public:
  using Use = std::function<void(const SampleWindow&, const TraceEdge&)>;

  WindowCutter(int channel, std::vector<TraceEdge> edges, std::vector<TraceEdge> all, Use use)
      : channel_(channel), edges_(std::move(edges)), all_(std::move(all)), use_(std::move(use)) {}

  void take(double time_s, const float* value) {
    while (next_ < edges_.size() && time_s >= edges_[next_].time_s - kBefore_s) {
      open_.push_back({edges_[next_], end_of(edges_[next_]), {}});
      ++next_;
    }
    for (Open& open : open_) {
      open.window.time_s.push_back(time_s);
      open.window.value.push_back(static_cast<double>(value[channel_]));
    }
    while (!open_.empty() && time_s >= open_.front().end_s) {
      use_(open_.front().window, open_.front().edge);
      open_.erase(open_.begin());
    }
  }

  void finish() {
    for (const Open& open : open_) {
      use_(open.window, open.edge);
    }
    open_.clear();
  }

 private:
  struct Open {
    TraceEdge edge;
    double end_s = 0;
    SampleWindow window;
  };

  double end_of(const TraceEdge& edge) const {
    const auto off = std::find_if(all_.begin(), all_.end(), [&](const TraceEdge& other) {
      return other.time_s > edge.time_s + kBounce_s;
    });
    const double end_s = edge.time_s + kAfter_s;
    return off == all_.end() ? end_s : std::min(end_s, off->time_s - 0.004);
  }

  int channel_;
  std::vector<TraceEdge> edges_;
  std::vector<TraceEdge> all_;
  Use use_;
  std::vector<Open> open_;
  std::size_t next_ = 0;
};

/// Turns windows into instants once enough of them have told how the input is coupled.
class InstantReader {
 public:
  InstantReader(bool light, double threshold) : light_(light), threshold_(threshold) {}

  void take(const SampleWindow& window, const TraceEdge& edge) {
    constexpr std::size_t kEnough = 12;
    if (decided_) {
      read(window, edge);
      return;
    }
    waiting_.emplace_back(window, edge);
    if (waiting_.size() == kEnough) {
      decide();
    }
  }

  std::vector<Instant> finish() {
    decide();
    return std::move(instants_);
  }

  double rise_s() const { return instants_n_ > 0 ? rise_sum_s_ / instants_n_ : 0; }

 private:
  void decide() {
    if (decided_) {
      return;
    }
    decided_ = true;
    std::vector<double> found;
    for (const auto& [window, edge] : waiting_) {
      if (const std::optional<double> coupling_s = find_coupling_s(window, edge.time_s)) {
        found.push_back(*coupling_s);
      }
    }
    if (2 * found.size() > waiting_.size()) {
      const auto middle = found.begin() + static_cast<std::ptrdiff_t>(found.size() / 2);
      std::nth_element(found.begin(), middle, found.end());
      coupling_s_ = *middle;
    }
    for (const auto& [window, edge] : waiting_) {
      read(window, edge);
    }
    waiting_.clear();
  }

  void read(const SampleWindow& window, const TraceEdge& edge) {
    const double share = light_ ? threshold_ : 0.5;
    const std::optional<SampleStep> step =
        find_sample_step(window, edge.time_s, share, coupling_s_);
    if (!step) {
      return;
    }
    Instant instant;
    instant.t_s = light_ ? step->t_s : first_closing_s(window, *step, edge);
    instant.u_s = step->u_s;
    instant.how = light_ ? "step" : "contact";
    instant.level = std::abs(step->height);
    if (light_) {
      instant.t50_s = step->t50_s;
      instant.t90_s = step->t90_s;
      rise_sum_s_ += step->t90_s - step->t_s;
      instants_n_ += 1;
    }
    instants_.push_back(std::move(instant));
  }

  /// A contact that bounces has closed at its first touch.
  double first_closing_s(const SampleWindow& window, const SampleStep& step,
                         const TraceEdge& edge) const {
    const double half = step.height / 2;
    double before = 0;
    double count = 0;
    for (std::size_t i = 0; i < window.value.size() && window.time_s[i] < edge.time_s - 0.02; ++i) {
      before += window.value[i];
      count += 1;
    }
    before /= std::max(count, 1.0);
    const double sign = half > 0 ? 1 : -1;
    for (std::size_t i = 1; i < window.value.size() && window.time_s[i] < step.t_s; ++i) {
      const double here = sign * (window.value[i] - before - half);
      if (window.time_s[i] > edge.time_s - 0.02 && here >= 0) {
        const double last = sign * (window.value[i - 1] - before - half);
        const double part = here != last ? std::clamp(-last / (here - last), 0.0, 1.0) : 1;
        return window.time_s[i - 1] + part * (window.time_s[i] - window.time_s[i - 1]);
      }
    }
    return step.t_s;
  }

  bool light_;
  double threshold_;
  bool decided_ = false;
  std::optional<double> coupling_s_;
  std::vector<std::pair<SampleWindow, TraceEdge>> waiting_;
  std::vector<Instant> instants_;
  double rise_sum_s_ = 0;
  double instants_n_ = 0;
};

struct Found {
  std::vector<Instant> lights;
  std::vector<Instant> presses;
  double rise_s = 0;
};

Found read_instants(const OpenTrace& open, const TraceSketch& sketch, const Roles& roles,
                    double threshold) {
  InstantReader light(true, threshold);
  InstantReader press(false, threshold);
  std::vector<WindowCutter> cutters;
  const auto add = [&](int channel, InstantReader& reader) {
    if (channel >= 0) {
      const std::vector<TraceEdge>& edges =
          sketch.channels[static_cast<std::size_t>(channel)].edges;
      cutters.emplace_back(channel, on_edges(edges), edges,
                           [&reader](const SampleWindow& window, const TraceEdge& edge) {
                             reader.take(window, edge);
                           });
    }
  };
  add(roles.light, light);
  add(roles.press, press);
  const std::unique_ptr<TraceSource> source = open();
  TraceSource::Sample sample;
  while (source->next(sample)) {
    for (WindowCutter& cutter : cutters) {
      cutter.take(sample.time_s, sample.value);
    }
  }
  for (WindowCutter& cutter : cutters) {
    cutter.finish();
  }
  Found found{light.finish(), press.finish(), 0};
  found.rise_s = light.rise_s();
  return found;
}

void number_samples(std::vector<Instant>& instants, const TraceSketch& sketch, double rate_hz) {
  for (Instant& instant : instants) {
    instant.frame = std::llround((instant.t_s - sketch.first_s) * rate_hz);
  }
}

void check_log(const Request& request, const std::vector<Instant>& lights, Timings& timings) {
  if (request.log == nullptr) {
    return;
  }
  const std::vector<double> flash_s = flash_times_s(*request.log);
  std::vector<double> light_s;
  light_s.reserve(lights.size());
  for (const Instant& light : lights) {
    light_s.push_back(light.t_s);
  }
  const ScheduleFit fit = fit_schedule(flash_s, light_s, 1);
  const std::size_t possible = std::min(flash_s.size(), light_s.size());
  if (possible >= 4 && 10 * fit.pairs.size() < 7 * possible) {
    throw Error(request.recording.string() +
                ": its lights do not follow the flashes of the log; give the log and the recording "
                "of one session");
  }
  if (fit.pairs.size() >= 3) {
    timings.recording.clock.log_rate = fit.rate;
    timings.recording.clock.log_rate_u = fit.rate_u;
  }
  if (fit.pairs.size() >= 5 && std::abs(fit.rate - 1) > std::max(5e-4, 3 * fit.rate_u)) {
    timings.warnings.push_back(make_warning(
        WarningCode::kRateAgainstLog,
        "one second of the recording is " + std::to_string(fit.rate) + " s of the log's"));
  }
}

void warn_of_pairs(Timings& timings) {
  const auto flagged = [&](const char* flag) {
    return std::count_if(
        timings.presses.begin(), timings.presses.end(), [flag](const PressTiming& press) {
          return std::find(press.flags.begin(), press.flags.end(), flag) != press.flags.end();
        });
  };
  if (flagged("no-light") > 0) {
    timings.warnings.push_back(
        make_warning(WarningCode::kPressesWithoutLight, std::to_string(flagged("no-light"))));
  }
  if (flagged("no-press") > 0) {
    timings.warnings.push_back(
        make_warning(WarningCode::kLightsWithoutPress, std::to_string(flagged("no-press"))));
  }
}

}  // namespace

Timings extract_trace(const Request& request) {
  const TraceFile file = open_trace_file(request.recording);
  TraceSketch sketch;
  {
    const std::unique_ptr<TraceSource> source = file.open();
    sketch = sketch_trace(*source, request.progress);
  }
  const std::string name = request.recording.string();
  if (sketch.samples < 16 || sketch.last_s <= sketch.first_s) {
    throw Error(name + ": it holds " + std::to_string(sketch.samples) +
                " samples, too few to read; record the whole session");
  }
  const Roles roles = choose_roles(sketch, request.setup, {file.light_channel, file.press_channel});
  const Found found = read_instants(file.open, sketch, roles, request.setup.threshold);
  if (found.lights.empty() && found.presses.empty()) {
    throw Error(name +
                ": no light and no press stand out of its noise; check the sensor's wiring and "
                "gain, and record again");
  }
  Timings timings;
  timings.recording.file = request.recording.filename().string();
  timings.recording.kind = file.kind;
  const double rate_hz = static_cast<double>(sketch.samples - 1) / (sketch.last_s - sketch.first_s);
  timings.recording.clock = {"samples", rate_hz, file.nominal_hz, file.why, {}, {}};
  std::vector<Instant> lights = found.lights;
  std::vector<Instant> presses = found.presses;
  number_samples(lights, sketch, rate_hz);
  number_samples(presses, sketch, rate_hz);
  check_log(request, lights, timings);
  timings.presses = pair_instants(presses, lights, {});
  LightInfo light;
  light.threshold = request.setup.threshold;
  if (found.rise_s > 2 / rate_hz) {
    light.rise_s = found.rise_s;
  } else {
    light.rise_below_s = 2 / rate_hz;
  }
  timings.recording.light = light;
  if (roles.press < 0 || presses.empty()) {
    timings.warnings.push_back(make_warning(WarningCode::kNoPressFound, ""));
  } else {
    warn_of_pairs(timings);
  }
  if (sketch.gaps > 0) {
    timings.warnings.push_back(make_warning(WarningCode::kTraceCut, std::to_string(sketch.gaps)));
  }
  return timings;
}

}  // namespace thumblight::onset
