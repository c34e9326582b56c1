#pragma once

#include <string>
#include <string_view>

namespace thumblight::report {

/// RFC 4648, 4: with padding, without line breaks.
std::string base64(std::string_view bytes);

}  // namespace thumblight::report
