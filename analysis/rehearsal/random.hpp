#pragma once

#include <cstdint>
#include <random>

namespace thumblight::rehearsal {

/// What a stream of random numbers is for: each use has its own, so that a change of one (more
/// camera noise, say) leaves the others (when the presses fall) as they were.
enum class Stream : std::uint32_t {
  kPresses = 1,
  kFinger,
  kBounce,
  kDelivery,
  kHost,
  kDisplay,
  kLamp,
  kExchange,
  kScene,
  kFrames,
  kPicture,
  kSound,
  kSensor,
  kGame
};

/// Random numbers that are the same on every platform: the engine's output is fixed by ISO C++
/// ([rand.predef]), the mappings below are ours, as those of the standard library are not fixed.
class Random {
 public:
  Random(std::uint64_t seed, Stream stream);

  double uniform();  ///< within [0, 1), in steps of 2^-53
  double uniform(double low, double high);
  double normal();                           ///< mean 0, variance 1 (Box and Muller)
  double gamma(double shape, double scale);  ///< mean shape * scale (Marsaglia and Tsang 2000)
  bool chance(double probability);
  std::uint64_t bits() { return engine_(); }

 private:
  std::mt19937_64 engine_;
};

}  // namespace thumblight::rehearsal
