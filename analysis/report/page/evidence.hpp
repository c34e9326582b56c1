#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "analysis/report/result.hpp"

/// The pictures of a session's folder, as the page shows them.
namespace thumblight::report {

struct Evidence {
  std::map<std::int64_t, std::string> strips;  ///< JPEG by the index of the press in the recording
  std::string regions;                         ///< PNG; empty where there is none
  std::size_t left_out = 0;                    ///< strips that are there but not in the page
};

/// `evidence/press-NNN.jpg` of the presses in the result and `regions.png`, what of them is there.
/// A file that is no such picture, or larger than a few megabytes, is passed over.
Evidence read_evidence(const std::filesystem::path& folder, const Result& result);

/// Strips of all sessions together that a page may hold, in bytes.
inline constexpr std::size_t kMostStripBytes = 4'800'000;

/// Encodes the strips more coarsely, all alike, where together they take more than `most_bytes`; if
/// the coarsest do not fit either, leaves some out, evenly over each session.
void shrink_strips(std::vector<Evidence>& evidence, std::size_t most_bytes = kMostStripBytes);

}  // namespace thumblight::report
