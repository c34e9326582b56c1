#include "analysis/onset/systematic_misfit.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include "analysis/onset/step_likelihood.hpp"

namespace thumblight::onset {
namespace {

constexpr std::size_t kBins = 20;  ///< of the way from the first response to the last

/// Deviations of one step's levels from the model, by the time since it began.
struct StepDeviations {
  std::array<double, kBins> count{};
  std::array<double, kBins> off{};
  std::array<double, kBins> scaled{};  ///< in standard deviations

  void add(double way, double deviation, double variance) {
    const auto bin = static_cast<std::size_t>(way * kBins);
    count[bin] += 1;
    off[bin] += deviation;
    scaled[bin] += deviation / std::sqrt(variance);
  }
};

/// Compares what the steps have in common with what each has of its own.
SystematicMisfit compare(const std::vector<StepDeviations>& steps) {
  double between = 0;
  double level = 0;
  double own = 0;
  double bins = 0;
  double values = 0;
  for (std::size_t bin = 0; bin < kBins; ++bin) {
    double sum = 0;
    double off = 0;
    double squares = 0;
    double count = 0;
    for (const StepDeviations& step : steps) {
      if (step.count[bin] > 0) {
        const double mean = step.scaled[bin] / step.count[bin];
        sum += mean;
        squares += mean * mean;
        off += step.off[bin] / step.count[bin];
        count += 1;
      }
    }
    if (count >= 3) {
      bins += 1;
      values += count;
      between += sum * sum / count;
      own += squares;
      level += off * off / (count * count);
    }
  }
  SystematicMisfit misfit;
  if (bins > 0 && own > 0) {
    misfit.temper = std::max(1.0, between / bins / (own / values));
    misfit.level = std::sqrt(level / bins);
  }
  return misfit;
}

}  // namespace

SystematicMisfit measure_misfit(const std::vector<FilmedStep>& steps, const StepModel& model,
                                double interval_s) {
  ModelResponses responses(model);
  std::vector<StepDeviations> all;
  for (const FilmedStep& step : steps) {
    const double begin_s = locate(step, responses, interval_s).begin_s;
    StepDeviations deviations;
    for (const PlaceSeries& place : step.places) {
      const EdgeResponse& response = responses.for_place(place);
      const double lag_s = model.slope_x * place.x_px + model.slope_y * place.y_px;
      const double length_s = response.last_s() - response.first_s();
      for (std::size_t i = 0; i < step.start_s.size(); ++i) {
        const double way = (step.start_s[i] - begin_s - lag_s - response.first_s()) / length_s;
        if (way < 0 || way >= 1) {
          continue;
        }
        const double share = response(step.start_s[i] - begin_s - lag_s);
        const double rest = 1 - share;
        const double variance = rest * rest * place.noise_before * place.noise_before +
                                share * share * place.noise_after * place.noise_after +
                                4 * share * rest * model.misfit * model.misfit;
        deviations.add(way, static_cast<double>(place.share[i]) - std::min(share, place.settled),
                       variance);
      }
    }
    all.push_back(deviations);
  }
  return compare(all);
}

double settling_error(const std::vector<FilmedStep>& steps, double interval_s) {
  double squares = 0;
  double noise = 0;
  double count = 0;
  for (const FilmedStep& step : steps) {
    for (const PlaceSeries& place : step.places) {
      for (std::size_t i = 0; i < step.start_s.size(); ++i) {
        const double after_s = step.start_s[i] - step.about_s;
        if (after_s > 1.05 * interval_s && after_s < 3.1 * interval_s) {
          const double off = place.settled - static_cast<double>(place.share[i]);
          squares += std::min(off * off, 0.01);
          noise += place.noise_after * place.noise_after;
          count += 1;
        }
      }
    }
  }
  return count > 0 ? std::sqrt(std::max(squares - noise, 0.0) / count) : 0;
}

}  // namespace thumblight::onset
