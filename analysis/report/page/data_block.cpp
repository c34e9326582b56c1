#include "analysis/report/page/data_block.hpp"

#include <nlohmann/json.hpp>
#include <string_view>
#include <utility>

namespace thumblight::report {
namespace {

using Json = nlohmann::ordered_json;

std::string replaced(std::string_view text,
                     std::initializer_list<std::pair<std::string_view, std::string_view>> pairs) {
  std::string out;
  out.reserve(text.size());
  for (std::size_t k = 0; k < text.size();) {
    const auto* found = pairs.begin();
    while (found != pairs.end() && text.substr(k, found->first.size()) != found->first) {
      ++found;
    }
    if (found == pairs.end()) {
      out += text[k++];
    } else {
      out += found->second;
      k += found->first.size();
    }
  }
  return out;
}

}  // namespace

std::string data_block(const Json& document) {
  return replaced(document.dump(-1, ' ', false, Json::error_handler_t::replace),
                  {{"<", "\\u003c"},
                   {">", "\\u003e"},
                   {"&", "\\u0026"},
                   {"\xE2\x80\xA8", "\\u2028"},
                   {"\xE2\x80\xA9", "\\u2029"}});
}

std::string html_text(const std::string& text) {
  const std::string valid =
      Json::parse(Json(text).dump(-1, ' ', false, Json::error_handler_t::replace));
  return replaced(valid, {{"&", "&amp;"}, {"<", "&lt;"}, {">", "&gt;"}, {"\"", "&quot;"}});
}

}  // namespace thumblight::report
