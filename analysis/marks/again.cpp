#include "analysis/marks/again.hpp"

#include <algorithm>

namespace thumblight::marks {
namespace {

bool is_marked_before(const PressMarks& press, What what, int pass) {
  const std::map<int, Mark>& marks = press.of(what);
  return !marks.empty() && marks.begin()->first < pass;
}

/// Whether this pass still lacks a mark that an earlier one made.
bool lacks(const PressMarks& press, int pass) {
  const auto lacks_one = [&](What what) {
    return is_marked_before(press, what, pass) && !press.of(what).contains(pass);
  };
  return lacks_one(What::kPress) || lacks_one(What::kLight);
}

std::vector<std::int64_t> lacking(const MarkSet& set, int pass) {
  std::vector<std::int64_t> indices;
  for (const auto& [index, press] : set.presses()) {
    if (!press.left_out && lacks(press, pass)) {
      indices.push_back(index);
    }
  }
  return indices;
}

}  // namespace

Again look_again(const MarkSet& set) {
  Again again{std::max(2, set.last_pass()), {}};
  again.presses = lacking(set, again.pass);
  if (again.presses.empty() && set.last_pass() >= again.pass) {
    ++again.pass;
    again.presses = lacking(set, again.pass);
  }
  return again;
}

PressMarks as_seen_in(int pass, PressMarks press) {
  if (pass > 1) {
    for (std::map<int, Mark>* marks : {&press.press, &press.light}) {
      std::erase_if(*marks, [pass](const auto& mark) { return mark.first != pass; });
    }
  }
  return press;
}

}  // namespace thumblight::marks
