#pragma once

#include <cstddef>
#include <nlohmann/json.hpp>

#include "analysis/report/comparison.hpp"
#include "analysis/report/page/evidence.hpp"

/// What page.js reads. Every number that is shown comes as text, with the digits its uncertainty
/// carries; numbers proper are for the charts alone.
namespace thumblight::report {

using PageJson = nlohmann::ordered_json;

/// `carried` is null where the comparison lends the session nothing.
PageJson page_session(const ComparedSession& session, std::size_t place, const Evidence& evidence,
                      const CarriedPortions* carried);

PageJson page_comparison(const ComparisonResult& comparison);

/// The name of a session that is alone: its labels, else its folder.
std::string name_alone(const ComparedSession& session);

}  // namespace thumblight::report
