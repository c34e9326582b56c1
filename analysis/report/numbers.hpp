#pragma once

#include <cstddef>
#include <string>

/// Numbers for people, the same in every locale.
namespace thumblight::report {

/// To how many decimals a value is written whose uncertainty is `uncertainty`: to two significant
/// digits of that, as JCGM 100:2008, 7.2.6 advises, but to no more than 3, which of milliseconds
/// are microseconds. Negative for tens and above.
int decimals_for(double uncertainty);

enum class Rounding { kNearest, kDown, kUp };

/// `value` in digits, with a point and without an exponent; "-0" is written "0".
std::string fixed(double value, int decimals, Rounding rounding = Rounding::kNearest);

/// `value` as somebody would say it: with as many digits as it takes, six at most.
std::string shortest(double value);

/// "3.1 to 4.7": bounds, rounded away from one another so that they still hold.
std::string outward(double low, double high);

/// "1 press", "7 presses".
std::string counted(std::size_t presses);

/// The text fit to be shown in one line, whoever wrote it: a '?' for each control character of
/// either set (C0, DEL, C1), each character that breaks a line or turns the direction of writing
/// (Unicode's Bidi_Control), and each byte that is no UTF-8.
std::string printable(const std::string& text);

}  // namespace thumblight::report
