#include "tests/bench/session_faults.hpp"

#include <algorithm>

#include "tests/bench/clock.hpp"

namespace thumblight::bench {
namespace {

class Faults {
 public:
  void expect(bool holds, const std::string& sentence) {
    if (!holds) {
      sentences_.push_back(sentence);
    }
  }
  std::vector<std::string> take() { return std::move(sentences_); }

 private:
  std::vector<std::string> sentences_;
};

/// A flash may hide in a pause of the observer as long as itself; that is the bench's fault.
std::string unseen_text(const SessionResult& result) {
  const double gap_ms = static_cast<double>(result.rate.largest_gap_ns) / 1e6;
  return "no light was seen; the longest pause in watching was " + std::to_string(gap_ms) + " ms";
}

void check_press(Faults& faults, const SessionResult& result, const TimedPress& seen,
                 const session::Press& logged) {
  const std::string name = "press " + std::to_string(logged.index) + ": ";
  faults.expect(seen.press.before_ns <= logged.arrival_ns, name + "it arrived before it was made");
  faults.expect(logged.flashed, name + "it was withheld (" + logged.withheld + ")");
  faults.expect(seen.light.has_value(), name + unseen_text(result));
  if (!logged.submit_ns) {
    return;
  }
  faults.expect(logged.arrival_ns <= *logged.submit_ns, name + "it was drawn before it arrived");
  // The light came at some instant of the observer's interval, whose end is the only sure bound.
  faults.expect(!seen.light || *logged.submit_ns <= seen.light->after_ns,
                name + "the light came before its frame was submitted");
}

}  // namespace

std::vector<std::string> faults_of(const SessionResult& result) {
  Faults faults;
  const std::vector<TimedPress>& seen = result.pairing.presses;
  const std::vector<session::Press>& logged = result.log.presses;
  faults.expect(seen.size() == logged.size(), std::to_string(seen.size()) + " presses made, " +
                                                  std::to_string(logged.size()) + " logged");
  faults.expect(result.pairing.unexplained.empty(),
                std::to_string(result.pairing.unexplained.size()) + " lights without a press");
  for (std::size_t index = 0; index < std::min(seen.size(), logged.size()); ++index) {
    faults.expect(logged[index].index == static_cast<std::int64_t>(index),
                  "the log's press " + std::to_string(index) + " bears another index");
    check_press(faults, result, seen[index], logged[index]);
  }
  faults.expect(!result.log.cut, "the log's last line is cut");
  faults.expect(result.log.end && result.log.end->reason == "completed",
                "the log does not end with 'completed'");
  faults.expect(result.exit_code == 0, "the exit code is " + std::to_string(result.exit_code));
  return faults.take();
}

int most_flashes_in_a_second(const std::vector<TimedPress>& presses) {
  std::vector<std::int64_t> lights_ns;
  for (const TimedPress& press : presses) {
    if (press.light) {
      lights_ns.push_back(press.light->instant_ns());
    }
  }
  int most = 0;
  for (auto first = lights_ns.begin(); first != lights_ns.end(); ++first) {
    const auto past = std::lower_bound(first, lights_ns.end(), *first + kNsPerS);
    most = std::max(most, static_cast<int>(past - first));
  }
  return most;
}

}  // namespace thumblight::bench
