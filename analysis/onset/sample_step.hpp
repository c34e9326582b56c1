#pragma once

#include <optional>
#include <vector>

namespace thumblight::onset {

/// A stretch of one channel around an edge.
struct SampleWindow {
  std::vector<double> time_s;
  std::vector<double> value;
};

/// The edge in it, at three shares of its height.
struct SampleStep {
  double t_s = 0;  ///< the threshold's share is made
  double t50_s = 0;
  double t90_s = 0;
  double u_s = 0;
  double height = 0;  ///< signed
};

/// How fast an AC-coupled input forgets a level: the time constant of the decay after an edge.
/// Empty where the level stays, as on a DC-coupled input.
std::optional<double> find_coupling_s(const SampleWindow& window, double edge_s);

/// The level as it was before the AC coupling: the decay is undone. The edge is near `edge_s`.
std::vector<double> without_coupling(const SampleWindow& window, double edge_s, double coupling_s);

/// The edge near `edge_s`; `threshold` is the share that counts. Empty where it does not stand out
/// of the noise.
std::optional<SampleStep> find_sample_step(const SampleWindow& window, double edge_s,
                                           double threshold, std::optional<double> coupling_s);

}  // namespace thumblight::onset
