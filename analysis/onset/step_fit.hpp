#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "analysis/onset/edge_response.hpp"

/// The engine for light and lamp: steps seen as a series of exposures, several places of the patch
/// apart, fitted with one model for the whole recording and one instant for each step.
namespace thumblight::onset {

/// One place of the patch over the frames around one step. `share` is the level in linear light,
/// 0 before the step and `settled` after it: 1, or what a coder leaves it at.
struct PlaceSeries {
  double x_px = 0;  ///< from the centre of the region, in the stored picture
  double y_px = 0;
  double width_px = 0;
  double height_px = 0;
  double height = 0;           ///< of the step, linear light
  double settled = 1;          ///< where the level stands after the step
  std::vector<float> share;    ///< one a frame
  double noise_before = 0.01;  ///< standard deviation of `share` before the step ...
  double noise_after = 0.01;   ///< ... and after it
};

/// One step as it was filmed.
struct FilmedStep {
  std::vector<double> start_s;  ///< of the exposure of the frame's first row
  std::vector<PlaceSeries> places;
  double about_s = 0;   ///< a first guess, within a few frames
  double likeness = 1;  ///< how much alike the places' noise is: 1 independent, n the same
};

/// An error of half-lit levels that all steps share, in shares of the step: greatest at a quarter
/// of the way or at three quarters.
struct LevelError {
  double low = 0;
  double high = 0;
};

/// What all steps of one kind in a recording share.
struct StepModel {
  double exposure_s = 0;
  EdgeShape shape;
  double slope_x = 0;     ///< seconds later for each pixel to the right, as the frames show it
  double slope_y = 0;     ///< ... and for each pixel down: scan-out less the camera's readout
  double misfit = 0.012;  ///< standard deviation of half-lit levels beyond noise (coding, curve)
  double skipped = 0;     ///< levels nearer to the end than about this are drawn as the end already
  double level_error = 0;  ///< of a frame that caught a lamp going on (see drawn_levels.hpp)
  LevelError error;        ///< supposed, to see what it would do
};

/// The beginning of a step at the region's centre, on the time line of the frames' first row.
struct StepInstant {
  double begin_s = 0;
  double u_s = 0;  ///< standard deviation of what the levels leave open
};

class ModelResponses;

StepInstant locate(const FilmedStep& step, ModelResponses& responses, double interval_s);

/// Logarithm of the likelihood of one step over all its instants.
double evidence_of(const FilmedStep& step, ModelResponses& responses, double interval_s);

struct ModelSearch {
  double interval_s = 0;             ///< between frames
  std::optional<double> exposure_s;  ///< where stated
  bool sloped_x = false;             ///< the region is wide enough to show a slope
  bool sloped_y = false;
  std::optional<double> misfit;  ///< of the light's model, to be kept
  double coding_error = 0.02;    ///< of a half-lit level, that no other frame shows
  double level_error = 0;        ///< see StepModel
  bool lossless = false;         ///< a coder that loses something does so alike step after step
};

/// A model with its doubt: each of `shifted` lies one standard deviation away along one of the
/// independent directions in which the recording leaves the model open.
struct DoubtedModel {
  StepModel model;
  double floor_s = 0;         ///< doubt about an instant that no model of rise and coding shows
  double shared_floor_s = 0;  ///< the same, where it moves all instants together
  std::vector<StepModel> shifted;
};

struct FittedModel {
  DoubtedModel light;
  DoubtedModel lamp;  ///< a step without rise that shares the exposure
  double exposure_u_s = 0;
  double rise_u_s = 0;  ///< of the light's 10-90 % rise time
  double slope_x_u = 0;
  double slope_y_u = 0;
};

/// Finds the exposure, rise and slopes that explain all steps best. `lamp` may be empty.
FittedModel fit_model(const std::vector<FilmedStep>& light, const std::vector<FilmedStep>& lamp,
                      const ModelSearch& search);

struct LocatedSteps {
  std::vector<StepInstant> instants;  ///< `u_s` holds what each leaves open and what all share
  double shared_u_s = 0;  ///< the part of the doubt that moves all instants together: no mean over
                          ///< them lessens it
};

/// Instants with the model's own doubt carried into their uncertainty.
LocatedSteps locate_all(const std::vector<FilmedStep>& steps, const DoubtedModel& model,
                        double interval_s);

}  // namespace thumblight::onset
