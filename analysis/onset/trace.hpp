#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "analysis/onset/film.hpp"
#include "analysis/onset/setup.hpp"

namespace thumblight::onset {

/// A sensor's samples as a stream: two channels on one time line.
class TraceSource {
 public:
  virtual ~TraceSource() = default;
  virtual int channels() const = 0;
  struct Sample {
    double time_s = 0;
    const float* value = nullptr;  ///< one a channel, valid until the next call
  };
  /// False at the end.
  virtual bool next(Sample& sample) = 0;
  virtual std::optional<double> expected() const = 0;  ///< samples in all
};

using OpenTrace = std::function<std::unique_ptr<TraceSource>()>;

/// A sudden change of one channel, as first found.
struct TraceEdge {
  double time_s = 0;
  double height = 0;  ///< signed
};

/// What a first pass over a trace tells of one channel.
struct ChannelSketch {
  std::vector<TraceEdge> edges;
  double noise = 0;  ///< of the difference of two neighbouring bins
  double greatest = 0;
};

/// Edges of every channel, in one pass and flat memory but for the edges themselves.
struct TraceSketch {
  std::vector<ChannelSketch> channels;
  std::int64_t samples = 0;
  double first_s = 0;
  double last_s = 0;
  std::int64_t gaps = 0;  ///< places where time leaps by more than three usual steps
};

TraceSketch sketch_trace(TraceSource& source, const Progress& progress);

}  // namespace thumblight::onset
