#pragma once

#include <cstddef>
#include <list>
#include <vector>

#include "analysis/onset/edge_response.hpp"
#include "analysis/onset/step_fit.hpp"

namespace thumblight::onset {

/// The responses of one model, made once for each spread of the step over a place.
class ModelResponses {
 public:
  explicit ModelResponses(const StepModel& model) : model_(model) {}

  const StepModel& model() const { return model_; }
  const EdgeResponse& for_place(const PlaceSeries& place);

 private:
  struct Entry {
    double spread_s = 0;
    EdgeResponse response;
  };
  StepModel model_;
  std::list<Entry> entries_;  ///< whose places in memory stay
};

/// How well a step of a model, begun at one instant or another, explains the levels of one filmed
/// step. Frames wholly before or after the step are summed up once, so that asking is cheap.
class StepLikelihood {
 public:
  StepLikelihood(const FilmedStep& step, ModelResponses& responses);

  /// Instants at which a half-lit level would be met exactly, and those at which a frame ceases to
  /// be half lit: where to look for narrow peaks and cliffs. About `most` of each.
  std::vector<double> candidates(std::size_t most) const;

  /// Logarithm of the likelihood that the step began at `begin_s` in the region's centre.
  double operator()(double begin_s) const;

 private:
  struct Place {
    const PlaceSeries* series = nullptr;
    const EdgeResponse* response = nullptr;
    double lag_s = 0;
    double variance_before = 0;
    double variance_after = 0;
    double variance_first = 0;  ///< of the first frame after the step, which coders draw worst
    std::vector<double> cost_before;  ///< sum over the frames up to each
    std::vector<double> cost_after;   ///< sum over the frames from each on
    std::vector<double> cost_first;   ///< the same where that frame is the first after the step
  };

  void add_place(const PlaceSeries& series, ModelResponses& responses);
  double cost(const Place& place, double begin_s) const;
  std::size_t first_frame_from(double time_s) const;

  const FilmedStep& step_;
  double misfit_variance_;
  double skipped_;
  double level_error_;
  std::vector<Place> places_;
};

}  // namespace thumblight::onset
