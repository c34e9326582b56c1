#include "analysis/rehearsal/switched_light.hpp"

#include <algorithm>

namespace thumblight::rehearsal {

SwitchedLight::SwitchedLight(std::vector<Switching> switchings, double rise_10_90_s)
    : switchings_(std::move(switchings)), step_(Rise::kFirstOrder, rise_10_90_s) {}

double SwitchedLight::mean(double from_s, double to_s) const {
  const auto later = std::upper_bound(
      switchings_.begin(), switchings_.end(), to_s,
      [](double value, const Switching& switching) { return value < switching.at_s; });
  double sum = 0.0;
  for (auto it = later; it != switchings_.begin();) {
    --it;
    if (from_s - it->at_s >= step_.settled_s()) {
      sum += it->on ? to_s - from_s : 0.0;
      break;
    }
    const double part = step_.integral_s(to_s - it->at_s) - step_.integral_s(from_s - it->at_s);
    sum += it->on ? part : -part;
  }
  return sum / (to_s - from_s);
}

std::vector<Switching> contact_switchings(const Truth& truth) {
  std::vector<Switching> list;
  for (const PressTruth& press : truth.presses) {
    for (const ContactEdge& edge : press.edges) {
      list.push_back({edge.at.bench_s, edge.closed});
    }
  }
  return list;
}

std::vector<Switching> host_lamp_switchings(const Truth& truth) {
  std::vector<Switching> list;
  for (const PressTruth& press : truth.presses) {
    if (press.lamp) {
      list.push_back({press.lamp->lit.bench_s, true});
      list.push_back({press.lamp->unlit.bench_s, false});
    }
  }
  return list;
}

}  // namespace thumblight::rehearsal
