#include "tests/bench/film/observed_csv.hpp"

#include <fstream>
#include <iomanip>

#include "harness/session/error.hpp"

namespace thumblight::bench {
namespace {

double film_s(const LevelChange& change, std::int64_t first_ns) {
  return static_cast<double>(change.instant_ns() - first_ns) / 1e9;
}

/// A change in host's time, film's time and uncertainty; empty cells for one that was not.
void write_change(std::ostream& out, const std::optional<LevelChange>& change,
                  std::int64_t first_ns) {
  if (change) {
    out << change->instant_ns() << ',' << film_s(*change, first_ns) << ',' << change->u_ns() / 1e9;
  } else {
    out << ",,";
  }
}

void write_row(std::ostream& out, std::size_t index, const SeenPress& seen, std::int64_t first_ns) {
  out << index << ',' << seen.press.before_ns << ',' << seen.press.after_ns << ',';
  write_change(out, seen.lamp, first_ns);
  out << ',';
  write_change(out, seen.light, first_ns);
  out << '\n';
}

}  // namespace

void write_observed(const std::filesystem::path& file, const std::vector<SeenPress>& presses,
                    std::int64_t first_ns) {
  std::ofstream out(file);
  out << "index,injected_before_ns,injected_after_ns,lamp_ns,lamp_s,lamp_u_s,light_ns,light_s,"
         "light_u_s\n"
      << std::fixed << std::setprecision(6);
  for (std::size_t index = 0; index < presses.size(); ++index) {
    write_row(out, index, presses[index], first_ns);
  }
  out.flush();
  if (!out) {
    throw Error("what was observed, '" + file.string() + "', cannot be written");
  }
}

}  // namespace thumblight::bench
