#include "tests/bench/film/film_check.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "tests/bench/film/instant_pairs.hpp"

namespace thumblight::bench {
namespace {

using nlohmann::json;

double ms_between(std::int64_t from_ns, std::int64_t to_ns) {
  return static_cast<double>(to_ns - from_ns) / 1e6;
}

bool is_told(const json& instant) {
  return instant.is_object() && instant.at("u_s").is_number();
}

/// Every press found and paired, with its light where it has one, none invented, none without an
/// uncertainty.
std::vector<std::string> count_faults(const FilmAnalysis& analysis,
                                      const std::vector<SeenPress>& seen) {
  const json& presses = analysis.timings.at("presses");
  if (presses.size() != seen.size()) {
    return {std::to_string(seen.size()) + " presses were made, the film gave " +
            std::to_string(presses.size())};
  }
  std::vector<std::string> faults;
  if (analysis.result.at("pairing").at("paired") != seen.size()) {
    faults.push_back("not every press of the film was paired with its press of the log");
  }
  for (std::size_t index = 0; index < seen.size(); ++index) {
    const std::string name = "press " + std::to_string(index) + " of the film ";
    if (!is_told(presses[index].at("press"))) {
      faults.push_back(name + "has no press, or none with an uncertainty");
    }
    if (is_told(presses[index].at("light")) != seen[index].light.has_value()) {
      faults.push_back(name + (seen[index].light ? "has no light, or none with an uncertainty"
                                                 : "has a light that never was"));
    }
  }
  return faults;
}

/// Standard uncertainty in milliseconds of what all presses share on `on`: press, light or total.
double shared_u_ms(const json& timings, const std::string& on) {
  double sum = 0;
  for (const json& doubt : timings.at("recording").at("shared")) {
    if (doubt.at("on") == on) {
      sum += std::pow(1e3 * doubt.at("u_s").get<double>(), 2);
    }
  }
  return std::sqrt(sum);
}

using Changes = std::vector<std::optional<LevelChange>>;

Changes lamps_of(const FilmedSession& filmed) {
  Changes lamps;
  for (const SeenPress& seen : filmed.presses) {
    lamps.emplace_back(seen.lamp);
  }
  return lamps;
}

Changes lights_of(const FilmedSession& filmed) {
  Changes lights;
  for (const SeenPress& seen : filmed.presses) {
    lights.push_back(seen.light);
  }
  return lights;
}

/// The portions' means by the observer's stamps and the log's.
struct SeenMeans {
  double total_ms = 0;
  double delivery_ms = 0;
  double display_ms = 0;
};

SeenMeans seen_means(const FilmedSession& filmed) {
  SeenMeans sums;
  double lights = 0;
  for (std::size_t index = 0; index < filmed.presses.size(); ++index) {
    const SeenPress& seen = filmed.presses[index];
    const std::int64_t lamp_ns = seen.lamp.instant_ns();
    const std::int64_t arrival_ns = filmed.session.log.presses[index].arrival_ns;
    sums.delivery_ms += ms_between(lamp_ns, arrival_ns);
    if (seen.light) {
      ++lights;
      sums.total_ms += ms_between(lamp_ns, seen.light->instant_ns());
      sums.display_ms += ms_between(arrival_ns, seen.light->instant_ns());
    }
  }
  const auto presses = static_cast<double>(filmed.presses.size());
  return {sums.total_ms / lights, sums.delivery_ms / presses, sums.display_ms / lights};
}

/// Builds the figures one by one; keeps what all of them need.
class FigureMaker {
 public:
  FigureMaker(const FilmAnalysis& analysis, const FilmedSession& filmed)
      : analysis_(analysis),
        filmed_(filmed),
        seen_(seen_means(filmed)),
        lamps_(pairs_of(analysis.timings, "press", lamps_of(filmed), filmed.camera.first_ns)),
        lights_(pairs_of(analysis.timings, "light", lights_of(filmed), filmed.camera.first_ns)),
        picture_ms_(filmed.camera.copy_median_ms),
        press_u_ms_(std::hypot(u_of_mean_ms(lamps_), shared_u_ms(analysis.timings, "press"))),
        light_u_ms_(std::hypot(u_of_mean_ms(lights_), shared_u_ms(analysis.timings, "light"))),
        total_u_ms_(std::hypot(press_u_ms_, light_u_ms_, shared_u_ms(analysis.timings, "total"))) {}

  FilmCheck check() {
    instant("press instant - lamp's", lamps_, press_u_ms_);
    instant("light instant - patch's", lights_, light_u_ms_);
    const double screen_ms = screen_of(analysis_.result);
    portion("", "total", analysis_.result, seen_.total_ms, total_u_ms_);
    portion("", "remainder", analysis_.result, seen_.total_ms - render_of(analysis_.result),
            total_u_ms_);
    // A virtual display shows a picture before the refresh at which its present returns: where that
    // is seen, 'no light before the flip' is no law, and bounds that rest on it say nothing.
    if (screen_ms > 0) {
      portion(" by causality", "delivery", analysis_.result, seen_.delivery_ms, 0);
      portion(" by causality", "screen", analysis_.result, screen_ms, 0);
      portion(" by causality", "display", analysis_.result, seen_.display_ms, 0);
    }
    portion(" on host's clock", "delivery", analysis_.shared_result, seen_.delivery_ms,
            press_u_ms_);
    portion(" on host's clock", "screen", analysis_.shared_result,
            screen_of(analysis_.shared_result), light_u_ms_);
    portion(" on host's clock", "display", analysis_.shared_result, seen_.display_ms, light_u_ms_);
    tell_ill_timed("lamp", lamps_, shared_u_ms(analysis_.timings, "press"));
    tell_ill_timed("light", lights_, shared_u_ms(analysis_.timings, "light"));
    const json& recording = analysis_.timings.at("recording");
    check_.frame_ms = 1e3 / recording.at("clock").at("rate_hz").get<double>();
    const json& exposure_s = recording.at("camera").at("exposure_s");
    check_.exposure_ms = exposure_s.is_number() ? 1e3 * exposure_s.get<double>() : 0;
    check_.instant_u_ms = both(&InstantPair::stated_ms);
    check_.instant_error_ms = both(&InstantPair::error_ms);
    return check_;
  }

 private:
  /// The mean render of the presses with a light. It comes from the log alone; which flips it takes
  /// depends on the clock link.
  double render_of(const json& result) const {
    double sum_ms = 0;
    double lights = 0;
    for (std::size_t index = 0; index < filmed_.presses.size(); ++index) {
      if (filmed_.presses[index].light) {
        sum_ms += result.at("presses").at(index).at("render_ms").get<double>();
        ++lights;
      }
    }
    return sum_ms / lights;
  }
  double screen_of(const json& result) const { return seen_.display_ms - render_of(result); }

  void instant(const std::string& what, const std::vector<InstantPair>& pairs, double u_ms) {
    const double error_ms = mean_of(pairs, &InstantPair::error_ms);
    check_.figures.push_back({what, error_ms, error_ms, 0, u_ms});
  }

  /// A portion of the result, be it a summary or bounds.
  void portion(const std::string& how, const std::string& name, const json& result, double seen_ms,
               double u_ms) {
    const json& found = result.at("summary").at(name + "_ms");
    FilmFigure figure{name + how, 0, 0, seen_ms, u_ms};
    if (found.is_object() && found.contains("bounds")) {
      figure.low_ms = found.at("bounds").at(0);
      figure.high_ms = found.at("bounds").at(1);
    } else if (found.is_object()) {
      figure.low_ms = figure.high_ms = found.at("mean");
    } else {
      check_.faults.push_back("the result tells nothing of " + figure.what);
      return;
    }
    check_.figures.push_back(figure);
  }

  void tell_ill_timed(const std::string& what, const std::vector<InstantPair>& pairs,
                      double shared_ms) {
    for (std::size_t index = 0; index < pairs.size(); ++index) {
      if (pairs[index].is_ill_timed(picture_ms_, shared_ms)) {
        check_.faults.push_back("the " + what + " of press " + std::to_string(index) +
                                " is off by " + std::to_string(pairs[index].error_ms) +
                                " ms, with a stated standard uncertainty of " +
                                std::to_string(pairs[index].stated_ms) + " ms of its own and of " +
                                std::to_string(shared_ms) + " ms that is shared");
      }
    }
  }

  double both(double InstantPair::*value) const {
    return std::sqrt((mean_square_of(lamps_, value) + mean_square_of(lights_, value)) / 2);
  }

  const FilmAnalysis& analysis_;
  const FilmedSession& filmed_;
  SeenMeans seen_;
  std::vector<InstantPair> lamps_;
  std::vector<InstantPair> lights_;
  double picture_ms_;
  double press_u_ms_;
  double light_u_ms_;
  double total_u_ms_;
  FilmCheck check_;
};

}  // namespace

double FilmFigure::difference_ms() const {
  return seen_ms < low_ms ? low_ms - seen_ms : std::min(0.0, high_ms - seen_ms);
}

bool FilmFigure::is_met() const {
  return std::abs(difference_ms()) <= kCoverage * u_ms;
}

bool FilmCheck::is_met() const {
  return faults.empty() && !figures.empty() &&
         std::all_of(figures.begin(), figures.end(),
                     [](const FilmFigure& figure) { return figure.is_met(); });
}

FilmCheck check_film(const FilmAnalysis& analysis, const FilmedSession& filmed) {
  std::vector<std::string> faults = count_faults(analysis, filmed.presses);
  if (!faults.empty()) {
    return {std::move(faults), {}, 0, 0, 0, 0};
  }
  return FigureMaker(analysis, filmed).check();
}

}  // namespace thumblight::bench
