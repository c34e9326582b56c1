#pragma once

#include <cstdint>
#include <filesystem>
#include <nlohmann/json.hpp>

namespace thumblight::bench {

/// What `thumblight-analysis` wrote of a filmed session.
struct FilmAnalysis {
  nlohmann::json timings;
  nlohmann::json result;         ///< the clocks tied by causality alone
  nlohmann::json shared_result;  ///< the film's times moved onto the host's clock
};

/// Runs `measure` on the folder; then `split` on one beside it, ending in `-host-clock`, that holds
/// the log and the same timings later by `first_ns`. What the program says lies beside the folder.
/// Throws `Error` with its words if it fails.
FilmAnalysis analyse_film(const std::filesystem::path& program, const std::filesystem::path& folder,
                          std::int64_t first_ns);

}  // namespace thumblight::bench
