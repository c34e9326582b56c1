#include "analysis/report/page/parts.hpp"

#include <charconv>

#include "analysis/report/page/base64.hpp"
#include "hashes.hpp"

extern "C" {
extern const char thumblight_page_template[];
extern const char thumblight_page_template_end[];
extern const char thumblight_page_style[];
extern const char thumblight_page_style_end[];
extern const char thumblight_page_library[];
extern const char thumblight_page_library_end[];
extern const char thumblight_page_script[];
extern const char thumblight_page_script_end[];
}

namespace thumblight::report {
namespace {

std::string_view between(const char* begin, const char* end) {
  return {begin, static_cast<std::size_t>(end - begin)};
}

/// The source expression of a script with this SHA-256 (Content Security Policy Level 3, 2.3.1).
std::string source_of(std::string_view sha256) {
  std::string bytes;
  for (std::size_t k = 0; k + 2 <= sha256.size(); k += 2) {
    unsigned value = 0;
    std::from_chars(sha256.data() + k, sha256.data() + k + 2, value, 16);
    bytes += static_cast<char>(value);
  }
  return "'sha256-" + base64(bytes) + "'";
}

}  // namespace

std::string_view page_template() {
  return between(thumblight_page_template, thumblight_page_template_end);
}

std::string_view page_style() {
  return between(thumblight_page_style, thumblight_page_style_end);
}

std::string_view page_library() {
  return between(thumblight_page_library, thumblight_page_library_end);
}

std::string_view page_script() {
  return between(thumblight_page_script, thumblight_page_script_end);
}

std::string page_policy() {
  return "default-src 'none'; script-src " + source_of(kLibrarySha256) + " " +
         source_of(kScriptSha256) +
         "; style-src 'unsafe-inline'; img-src data: blob:; base-uri 'none'; form-action 'none'";
}

}  // namespace thumblight::report
