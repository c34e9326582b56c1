#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "analysis/commands/split_session.hpp"

/// What verbs that take several sessions ask of their options; each throws `UsageError`.
namespace thumblight::commands {

/// Every pair is compared, so their number grows with the square.
inline constexpr std::size_t kMostSessions = 50;

/// No more than `kMostSessions`, and none of them twice; `verb` is named in the sentence.
void check_sessions(const std::vector<std::string>& sessions, const std::string& verb);

/// A file of exchanges belongs to one session.
void check_link(const LinkOptions& link);

/// Writing over what the sessions are made of would lose the evidence.
void refuse_to_overwrite(const std::vector<std::string>& sessions, const std::string& out);

}  // namespace thumblight::commands
