#pragma once

#include <cstddef>
#include <string>

#include "analysis/report/campaign.hpp"
#include "analysis/report/portion_bar.hpp"
#include "analysis/report/wrap.hpp"

namespace thumblight::report {

/// The campaign for a terminal: for each set-up its rank, name, numbers and a bar, then what each
/// part of a set-up adds. Fits 40 columns.
std::string terminal_campaign(const Campaign& campaign, std::size_t columns = kTerminalColumns,
                              const TerminalStyle& style = {});

}  // namespace thumblight::report
