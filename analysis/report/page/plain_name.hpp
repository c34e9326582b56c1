#pragma once

#include <string>

namespace thumblight::report {

/// The name without the characters that would turn the direction of the text after it (the explicit
/// formatting characters of the Unicode Bidirectional Algorithm, UAX #9, 2).
std::string plain_name(const std::string& name);

/// The name as part of a sentence, in quotation marks; one that is not plain ASCII is isolated, so
/// that its own direction ends with it (UAX #9, 2.4).
std::string quoted(const std::string& name);

}  // namespace thumblight::report
