#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

namespace thumblight::report {

/// The document as text that may stand in a script element of a page: every `<`, `>` and `&` and
/// the line ends U+2028 and U+2029 are written as JSON escapes, so that no name in it can end the
/// element or begin another. What is no UTF-8 becomes U+FFFD.
std::string data_block(const nlohmann::ordered_json& document);

/// The text for the inside of an element or of an attribute in double quotes; what is no UTF-8
/// becomes U+FFFD.
std::string html_text(const std::string& text);

}  // namespace thumblight::report
