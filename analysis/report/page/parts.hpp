#pragma once

#include <string>
#include <string_view>

/// The parts of the page that lie in the program: see assets/page.
namespace thumblight::report {

std::string_view page_template();
std::string_view page_style();
std::string_view page_library();  ///< what draws the charts, minified
std::string_view page_script();   ///< our own

/// What the page may do, as a Content-Security-Policy: run its own two scripts, by their hashes,
/// and show pictures that it holds. No network.
std::string page_policy();

}  // namespace thumblight::report
