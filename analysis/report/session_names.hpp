#pragma once

#include <string>
#include <vector>

#include "analysis/report/compared_session.hpp"

/// What sentences and tables call the sessions; always `printable`.
namespace thumblight::report {

/// The last part of a session's path.
std::string folder_name(const std::string& path);

/// By the labels that set the sessions apart; else by their folders; else as they were named.
void name_sessions(std::vector<ComparedSession>& sessions);

/// The same for a campaign, where a set-up may have been measured more than once: the folder is
/// named beside labels that several sessions share, and alone where there are no labels.
void name_set_ups(std::vector<ComparedSession>& sessions);

}  // namespace thumblight::report
