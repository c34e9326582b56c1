#include "analysis/rehearsal/delivery.hpp"

#include <cmath>

namespace thumblight::rehearsal {

namespace {

/// The first of the instants phase + n * interval that is not before t.
double next_of(double t_s, double phase_s, double interval_s) {
  return phase_s + std::ceil((t_s - phase_s) / interval_s) * interval_s;
}

}  // namespace

Delivery::Delivery(const DeliverySettings& settings, std::uint64_t seed)
    : settings_(settings),
      random_(seed, Stream::kDelivery),
      poll_phase_s_(random_.uniform(0.0, settings.interval_s)),
      radio_phase_s_(random_.uniform(0.0, settings.radio_interval_s)) {}

double Delivery::next_poll_s(double t_s) const {
  return next_of(t_s, poll_phase_s_, settings_.interval_s);
}

double Delivery::received_s(double t_s) {
  double sent_s = next_of(t_s, radio_phase_s_, settings_.radio_interval_s);
  while (random_.chance(settings_.radio_loss)) {
    sent_s += settings_.radio_interval_s;
  }
  return sent_s;
}

double Delivery::arrival_s(double contact_s) {
  switch (settings_.model) {
    case DeliveryModel::kPolling:
      return next_poll_s(contact_s) + settings_.base_s;
    case DeliveryModel::kGamma:
      return contact_s + settings_.base_s + random_.gamma(settings_.shape, settings_.scale_s);
    case DeliveryModel::kWireless:
      return next_poll_s(received_s(contact_s)) + settings_.base_s;
    case DeliveryModel::kConstant:
      break;
  }
  return contact_s + settings_.base_s;
}

}  // namespace thumblight::rehearsal
