#include "analysis/marks/encode.hpp"

#include "harness/session/or_null.hpp"

namespace thumblight::marks {
namespace {

/// The members of each kind of record but for id and time.
struct Members {
  OrderedJson operator()(const Mark& mark) const {
    return {{"record", "mark"},
            {"index", mark.at.index},
            {"near_s", or_null(mark.at.near_s)},
            {"what", name(mark.what)},
            {"t_s", mark.t_s},
            {"u_s", mark.u_s},
            {"frame", or_null(mark.frame)},
            {"by", "hand"},
            {"pass", mark.pass}};
  }
  OrderedJson operator()(const LeaveOut& out) const {
    return {{"record", "leave-out"},
            {"index", out.at.index},
            {"near_s", or_null(out.at.near_s)},
            {"reason", out.reason}};
  }
  OrderedJson operator()(const TakeIn& in) const {
    return {{"record", "take-in"}, {"index", in.at.index}, {"near_s", or_null(in.at.near_s)}};
  }
  OrderedJson operator()(const DraggedRegion& dragged) const {
    return {{"record", "region"},    {"name", dragged.name},  {"x", dragged.region.x},
            {"y", dragged.region.y}, {"w", dragged.region.w}, {"h", dragged.region.h}};
  }
  OrderedJson operator()(const Undo& undo) const { return {{"record", "undo"}, {"of", undo.of}}; }
};

std::string dump(const OrderedJson& json) {
  return json.dump(-1, ' ', false, OrderedJson::error_handler_t::replace);
}

}  // namespace

std::string encode_header(const std::string& started_utc) {
  return dump({{"record", "marks"},
               {"format", kMarksFormat},
               {"version", kMarksVersion},
               {"started_utc", started_utc}});
}

std::string encode(const Entry& entry) {
  OrderedJson line = std::visit(Members{}, entry.action);
  line["id"] = entry.id;
  line["made_utc"] = entry.made_utc;
  return dump(line);
}

}  // namespace thumblight::marks
