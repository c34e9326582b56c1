#pragma once

#include <string>

namespace thumblight::statistics {

/// Decimal places that show an uncertainty to two significant digits (JCGM 100:2008, 7.2.6), from 0
/// to 3; 3 where the uncertainty is zero.
int decimals_for(double uncertainty);

/// The value with that many decimal places, whatever the locale; never "-0".
std::string fixed(double value, int decimals);

}  // namespace thumblight::statistics
