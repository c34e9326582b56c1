#include "analysis/rehearsal/step_response.hpp"

#include <cmath>
#include <numbers>

namespace thumblight::rehearsal {

namespace {

constexpr double kPi = std::numbers::pi;

double scale_of(Rise kind, double rise_10_90_s) {
  if (kind == Rise::kFirstOrder) {
    return rise_10_90_s / std::log(9.0);
  }
  return rise_10_90_s * kPi / (std::acos(-0.8) - std::acos(0.8));
}

}  // namespace

StepResponse::StepResponse(Rise kind, double rise_10_90_s)
    : kind_(kind), scale_s_(scale_of(kind, rise_10_90_s)) {}

double StepResponse::value(double t_s) const {
  if (t_s <= 0.0) {
    return 0.0;
  }
  if (t_s >= settled_s()) {
    return 1.0;
  }
  return kind_ == Rise::kFirstOrder ? -std::expm1(-t_s / scale_s_)
                                    : 0.5 * (1.0 - std::cos(kPi * t_s / scale_s_));
}

double StepResponse::integral_s(double t_s) const {
  if (t_s <= 0.0) {
    return 0.0;
  }
  if (kind_ == Rise::kFirstOrder) {
    return scale_s_ == 0.0 ? t_s : t_s + scale_s_ * std::expm1(-t_s / scale_s_);
  }
  if (t_s >= scale_s_) {
    return t_s - 0.5 * scale_s_;
  }
  return 0.5 * (t_s - scale_s_ / kPi * std::sin(kPi * t_s / scale_s_));
}

double StepResponse::time_to_s(double share) const {
  return kind_ == Rise::kFirstOrder ? -scale_s_ * std::log1p(-share)
                                    : scale_s_ * std::acos(1.0 - 2.0 * share) / kPi;
}

double StepResponse::settled_s() const {
  return kind_ == Rise::kFirstOrder ? 40.0 * scale_s_ : scale_s_;
}

}  // namespace thumblight::rehearsal
