#include "analysis/report/page/page.hpp"

#include <algorithm>
#include <string_view>

#include "analysis/report/page/data_block.hpp"
#include "analysis/report/page/findings.hpp"
#include "analysis/report/page/page_data.hpp"
#include "analysis/report/page/parts.hpp"
#include "analysis/report/page/plain_name.hpp"
#include "harness/session/error.hpp"

namespace thumblight::report {
namespace {

const CarriedPortions* carried_to(const std::optional<ComparisonResult>& comparison,
                                  std::size_t place) {
  if (!comparison) {
    return nullptr;
  }
  for (const ScreenGroup& group : comparison->screens) {
    for (const CarriedPortions& carried : group.carried) {
      if (carried.session == place) {
        return &carried;
      }
    }
  }
  return nullptr;
}

std::string title_of(const std::vector<ComparedSession>& sessions) {
  return sessions.size() == 1 ? plain_name(sessions.front().name)
                              : std::to_string(sessions.size()) + " set-ups compared";
}

PageJson page_document(const std::vector<ComparedSession>& sessions,
                       const std::optional<ComparisonResult>& comparison,
                       const std::vector<Evidence>& evidence) {
  PageJson document = {{"title", title_of(sessions)},
                       {"version", THUMBLIGHT_VERSION},
                       {"answer", answer(sessions, comparison)},
                       {"portions_finding", portions_finding(sessions)},
                       {"presses_finding", presses_finding(sessions)},
                       {"distribution_finding", distribution_finding(sessions, comparison)},
                       {"comparison", nullptr},
                       {"sessions", PageJson::array()}};
  if (comparison) {
    document["comparison"] = page_comparison(*comparison);
  }
  for (std::size_t k = 0; k < sessions.size(); ++k) {
    document["sessions"].push_back(page_session(
        sessions[k], k, k < evidence.size() ? evidence[k] : Evidence{}, carried_to(comparison, k)));
  }
  return document;
}

/// The template with the parts in their places, `{{name}}` each.
std::string filled(std::string_view text,
                   const std::vector<std::pair<std::string_view, std::string_view>>& parts) {
  std::string page;
  while (true) {
    const std::size_t open = text.find("{{");
    page += text.substr(0, open);
    if (open == std::string_view::npos) {
      return page;
    }
    const std::size_t close = text.find("}}", open);
    const std::string_view name = text.substr(open + 2, close - open - 2);
    const auto part = std::find_if(parts.begin(), parts.end(), [name](const auto& candidate) {
      return candidate.first == name;
    });
    page += part == parts.end() ? std::string_view() : part->second;
    text.remove_prefix(close + 2);
  }
}

}  // namespace

std::string report_page(const std::vector<ComparedSession>& sessions,
                        const std::optional<ComparisonResult>& comparison,
                        std::vector<Evidence> evidence) {
  if (sessions.empty()) {
    throw Error("a report needs a session; name the folder of one that has been measured");
  }
  std::vector<ComparedSession> named = sessions;
  if (named.size() == 1 && named.front().name.empty()) {
    named.front().name = name_alone(named.front());
  }
  shrink_strips(evidence);
  const std::string title = html_text(title_of(named));
  const std::string data = data_block(page_document(named, comparison, evidence));
  const std::string policy = page_policy();
  return filled(page_template(), {{"policy", policy},
                                  {"version", THUMBLIGHT_VERSION},
                                  {"title", title},
                                  {"style", page_style()},
                                  {"data", data},
                                  {"library", page_library()},
                                  {"script", page_script()}});
}

}  // namespace thumblight::report
