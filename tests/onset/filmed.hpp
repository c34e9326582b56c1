#pragma once

#include <cmath>
#include <functional>
#include <random>
#include <vector>

#include "analysis/onset/step_fit.hpp"

/// Steps filmed by a made-up camera, by plain numerical integration: no code of the product.
namespace thumblight::test {

struct Camera {
  double interval_s = 1.0 / 240;
  double exposure_share = 0.9;
  double noise = 0.01;
  int rows = 1;  ///< places one above the other
  double row_px = 30;
  double lag_per_px = 0;  ///< each place's step comes later by this
};

struct Filmed {
  std::vector<onset::FilmedStep> steps;
  std::vector<double> truth_s;  ///< beginning of the step at the centre
};

/// `share(t)` of the step made t seconds after its beginning.
inline Filmed film(const Camera& camera, int count, const std::function<double(double)>& share,
                   unsigned seed) {
  std::mt19937 engine(seed);
  std::uniform_real_distribution<double> phase(0, 1);
  std::normal_distribution<double> noise(0, camera.noise);
  Filmed filmed;
  for (int k = 0; k < count; ++k) {
    const double begin_s = 1.0 * k + 0.2 + phase(engine) * 0.1;
    onset::FilmedStep step;
    const double first_s = std::floor((begin_s - 0.08) / camera.interval_s) * camera.interval_s;
    for (int i = 0; i < 40; ++i) {
      step.start_s.push_back(first_s + i * camera.interval_s);
    }
    for (int row = 0; row < camera.rows; ++row) {
      onset::PlaceSeries place;
      place.y_px = (row - (camera.rows - 1) / 2.0) * camera.row_px;
      place.width_px = camera.row_px;
      place.height_px = camera.row_px;
      place.noise_before = place.noise_after = std::max(camera.noise, 0.002);
      for (const double start_s : step.start_s) {
        constexpr int kParts = 400;
        double sum = 0;
        for (int part = 0; part < kParts; ++part) {
          const double within = (part + 0.5) / kParts;
          const double lag_s =
              camera.lag_per_px *
              (place.y_px + (within * 97 - std::floor(within * 97) - 0.5) * camera.row_px);
          const double t_s = start_s + within * camera.exposure_share * camera.interval_s;
          sum += share(t_s - begin_s - lag_s);
        }
        place.share.push_back(static_cast<float>(sum / kParts + noise(engine)));
      }
      step.places.push_back(place);
    }
    step.about_s = begin_s + (phase(engine) - 0.5) * 0.006;
    filmed.steps.push_back(step);
    filmed.truth_s.push_back(begin_s);
  }
  return filmed;
}

struct Errors {
  double bias_s = 0;
  double sd_s = 0;
  double covered = 0;  ///< share of |error| <= 2 u
  double mean_u_s = 0;
};

inline Errors errors_of(const std::vector<onset::StepInstant>& found, double offset_s,
                        const std::vector<double>& truth_s, double truth_offset_s) {
  Errors errors;
  const auto n = static_cast<double>(found.size());
  for (std::size_t i = 0; i < found.size(); ++i) {
    const double off = found[i].begin_s + offset_s - truth_s[i] - truth_offset_s;
    errors.bias_s += off / n;
    errors.sd_s += off * off / n;
    errors.covered += std::abs(off) <= 2 * found[i].u_s ? 1 / n : 0;
    errors.mean_u_s += found[i].u_s / n;
  }
  errors.sd_s = std::sqrt(errors.sd_s - errors.bias_s * errors.bias_s);
  return errors;
}

}  // namespace thumblight::test
