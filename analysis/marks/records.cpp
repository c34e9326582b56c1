#include "analysis/marks/records.hpp"

#include <cmath>

namespace thumblight::marks {

const char* name(What what) {
  return what == What::kPress ? "press" : "light";
}

double frame_u_s(double frame_s) {
  return frame_s / (2 * std::sqrt(3.0));
}

}  // namespace thumblight::marks
