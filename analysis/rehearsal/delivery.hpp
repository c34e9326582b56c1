#pragma once

#include "analysis/rehearsal/random.hpp"
#include "analysis/rehearsal/settings.hpp"

namespace thumblight::rehearsal {

/// From a contact's closing to the event's arrival at the program.
class Delivery {
 public:
  Delivery(const DeliverySettings& settings, std::uint64_t seed);

  /// When the press arrives, in bench time.
  double arrival_s(double contact_s);

 private:
  double next_poll_s(double t_s) const;
  double received_s(double t_s);

  DeliverySettings settings_;
  Random random_;
  double poll_phase_s_;
  double radio_phase_s_;
};

}  // namespace thumblight::rehearsal
