#include "tests/matrix/matrix.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "analysis/onset/extract.hpp"
#include "analysis/onset/setup.hpp"
#include "analysis/rehearsal/rehearse.hpp"
#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"

namespace thumblight::test {
namespace {

using rehearsal::Settings;

double mean_of(const std::vector<Miss>& all, double (*value)(const Miss&)) {
  double sum = 0;
  for (const Miss& miss : all) {
    sum += value(miss);
  }
  return all.empty() ? 0 : sum / static_cast<double>(all.size());
}

int count_of(const std::vector<Miss>& all, bool (*is)(const Miss&)) {
  return static_cast<int>(std::count_if(all.begin(), all.end(), is));
}

struct Reading {
  rehearsal::Truth truth;
  onset::Timings timings;
};

Reading read(const Settings& settings, const std::filesystem::path& folder) {
  Reading reading;
  reading.truth = std::filesystem::exists(folder / "truth.json")
                      ? rehearsal::make_truth(settings)
                      : rehearsal::rehearse(settings, folder);
  const session::Log log = session::read_log(folder / "session.jsonl");
  onset::Request request;
  request.recording = folder / rehearsal::recording_name(settings);
  request.log = &log;
  request.setup = onset::read_setup(folder / "setup.json");
  reading.timings = onset::extract(request);
  return reading;
}

constexpr double kSame_s = 0.05;

const onset::PressTiming* light_near(const onset::Timings& timings, double light_s) {
  const auto found = std::find_if(
      timings.presses.begin(), timings.presses.end(), [&](const onset::PressTiming& timing) {
        return timing.light && std::abs(timing.light->t_s - light_s) < kSame_s;
      });
  return found == timings.presses.end() ? nullptr : &*found;
}

bool was_pressed_near(const rehearsal::Truth& truth, double press_s) {
  return std::any_of(truth.presses.begin(), truth.presses.end(),
                     [&](const rehearsal::PressTruth& real) {
                       return std::abs(real.contact.recording_s - press_s) < kSame_s;
                     });
}

/// Doubt about `on` that all instants of the recording share.
double shared_u_s(const onset::Timings& timings, const std::string& on) {
  double squares = 0;
  for (const onset::SharedDoubt& doubt : timings.recording.shared) {
    squares += doubt.on == on ? doubt.u_s * doubt.u_s : 0;
  }
  return std::sqrt(squares);
}

void compare(const Reading& reading, int seed, Cell& cell) {
  const double shared_light_s = shared_u_s(reading.timings, "light");
  const double shared_press_s = shared_u_s(reading.timings, "press");
  int found = 0;
  for (const rehearsal::PressTruth& real : reading.truth.presses) {
    if (!real.flash) {
      continue;
    }
    ++cell.expected;
    const double light_s = real.flash->light.recording_s;
    const onset::PressTiming* timing = light_near(reading.timings, light_s);
    found += timing != nullptr ? 1 : 0;
    if (timing == nullptr || !timing->press) {
      ++cell.missed;
      continue;
    }
    const onset::Instant& light = *timing->light;
    const onset::Instant& press = *timing->press;
    const double contact_s = real.contact.recording_s;
    const Miss of_light{seed, light_s, light.t_s - light_s, *light.u_s, shared_light_s, true};
    Miss of_press{seed, contact_s, press.t_s - contact_s, *press.u_s, shared_press_s, true};
    of_press.within = !press.from_s || (*press.from_s <= contact_s && contact_s <= *press.to_s);
    cell.light.all.push_back(of_light);
    cell.press.all.push_back(of_press);
  }
  const auto lights = std::count_if(reading.timings.presses.begin(), reading.timings.presses.end(),
                                    [](const auto& timing) { return timing.light.has_value(); });
  const auto presses = std::count_if(
      reading.timings.presses.begin(), reading.timings.presses.end(), [&](const auto& timing) {
        return timing.press && !was_pressed_near(reading.truth, timing.press->t_s);
      });
  cell.invented += static_cast<int>(lights) - found + static_cast<int>(presses);
}

/// A tube's pulses, watched at half the rate, fall into the dead time alike, refresh after refresh:
/// such a film does not show what the whole one shows.
bool can_be_halved(const Settings& settings) {
  return settings.display.panel != rehearsal::PanelKind::kTube;
}

/// The same camera and exposure, every other frame left out: the film at half the rate.
Settings halved(Settings settings) {
  settings.camera.nominal_hz /= 2;
  settings.camera.exposure_share /= 2;
  settings.camera.interval_jitter /= 2;
  return settings;
}

void halve(const Reading& whole, int seed, const Settings& settings,
           const std::filesystem::path& folder, Cell& cell) {
  const Reading half = read(halved(settings), folder);
  Cell at_full;
  Cell at_half;
  compare(whole, seed, at_full);
  compare(half, seed, at_half);
  const auto add = [&](const Tally& full, const Tally& thin) {
    if (full.n() > 0 && thin.n() > 0) {
      cell.halvings.push_back(
          {thin.bias_s() - full.bias_s(),
           std::hypot(full.film_means().front().u_s, thin.film_means().front().u_s)});
    }
  };
  add(at_full.light, at_half.light);
  if (cell.by_lamp()) {
    add(at_full.press, at_half.press);
  }
}

}  // namespace

double Tally::bias_s() const {
  return mean_of(all, [](const Miss& miss) { return miss.error_s; });
}

double Tally::sd_s() const {
  const double bias = bias_s();
  double sum = 0;
  for (const Miss& miss : all) {
    sum += (miss.error_s - bias) * (miss.error_s - bias);
  }
  return n() < 2 ? 0 : std::sqrt(sum / (n() - 1));
}

double Tally::mean_u_s() const {
  return mean_of(all, [](const Miss& miss) { return miss.u_s; });
}

std::vector<FilmMean> Tally::film_means() const {
  std::map<int, std::vector<Miss>> films;
  for (const Miss& miss : all) {
    films[miss.seed].push_back(miss);
  }
  std::vector<FilmMean> means;
  for (const auto& [seed, misses] : films) {
    const double shared =
        mean_of(misses, [](const Miss& miss) { return miss.shared_u_s * miss.shared_u_s; });
    const double own = mean_of(misses, [](const Miss& miss) {
      return std::max(0.0, miss.u_s * miss.u_s - miss.shared_u_s * miss.shared_u_s);
    });
    means.push_back({mean_of(misses, [](const Miss& miss) { return miss.error_s; }),
                     std::sqrt(shared + own / static_cast<double>(misses.size()))});
  }
  return means;
}

double Tally::independent() const {
  const double shared = mean_of(
      all, [](const Miss& miss) { return std::min(1.0, std::pow(miss.shared_u_s / miss.u_s, 2)); });
  const auto few = static_cast<double>(film_means().size());
  return few + (n() - few) * (1 - shared);
}

double Tally::ratio() const {
  return std::sqrt(mean_of(
      all, [](const Miss& miss) { return miss.error_s * miss.error_s / (miss.u_s * miss.u_s); }));
}

int Tally::covered() const {
  return count_of(all, [](const Miss& miss) { return std::abs(miss.error_s) <= 2 * miss.u_s; });
}

double Tally::share() const {
  return n() > 0 ? static_cast<double>(covered()) / n() : 0;
}

int Tally::within() const {
  return count_of(all, [](const Miss& miss) { return miss.within; });
}

Cell run_cell(const Condition& condition, const RunOptions& options) {
  Cell cell;
  cell.condition = condition;
  for (int film = 1; film <= options.films; ++film) {
    Settings settings = condition.settings;
    settings.seed = static_cast<std::uint64_t>(film);
    const std::filesystem::path folder = options.folder / ("film-" + std::to_string(film));
    try {
      const Reading whole = read(settings, folder);
      compare(whole, film, cell);
      if (options.halve && can_be_halved(settings)) {
        halve(whole, film, settings, folder.string() + "-halved", cell);
      }
    } catch (const Error& error) {
      cell.faults.emplace_back(error.what());
    }
  }
  return cell;
}

int presses_out_of_sight(Condition condition, const RunOptions& options) {
  condition.settings.scene.finger = false;
  condition.settings.lamp.on_button = false;
  int presses = 0;
  for (int film = 1; film <= options.films; ++film) {
    condition.settings.seed = static_cast<std::uint64_t>(film);
    const Reading reading =
        read(condition.settings, options.folder / ("hidden-" + std::to_string(film)));
    presses += static_cast<int>(
        std::count_if(reading.timings.presses.begin(), reading.timings.presses.end(),
                      [](const onset::PressTiming& timing) { return timing.press.has_value(); }));
  }
  return presses;
}

}  // namespace thumblight::test
