#include "analysis/report/terminal_plan.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/report/numbers.hpp"
#include "analysis/report/text_columns.hpp"

namespace thumblight::report {
namespace {

constexpr std::size_t kWhatWidth = 51;
constexpr std::size_t kNumberWidth = 9;
constexpr std::size_t kFewPresses = 10;

/// What is promised is rounded away from the promise.
std::string at_most(double value_ms) {
  return fixed(value_ms, decimals_for(value_ms), Rounding::kUp) + " ms";
}

std::string nearly(double value_ms) {
  return fixed(value_ms, decimals_for(value_ms)) + " ms";
}

std::string percent(double share) {
  return shortest(100 * share) + " %";
}

std::string duration(double seconds) {
  if (seconds < 90) {
    return fixed(seconds, 0, Rounding::kUp) + " s";
  }
  if (seconds < 90 * 60.0) {
    return fixed(seconds / 60, 0, Rounding::kUp) + " min";
  }
  return fixed(seconds / 3600, seconds < 36'000 ? 1 : 0, Rounding::kUp) + " h";
}

std::string row(const std::string& what, double sd_ms) {
  return ranged_left(what, kWhatWidth) +
         ranged_right(fixed(sd_ms, decimals_for(sd_ms)), kNumberWidth) + '\n';
}

std::string spread_table(const Plan& plan) {
  std::string text =
      ranged_left("why presses differ", kWhatWidth) + ranged_right("SD, ms", kNumberWidth) + '\n';
  for (const SpreadSource& source : plan.sources) {
    text += row("  " + printable(source.what) + (source.how.empty() ? "" : ": " + source.how),
                source.sd_ms);
  }
  return plan.sources.size() > 1 ? text + row("  together", plan.sd_ms) : text;
}

std::string sentence_of_presses(const Plan& plan) {
  const std::string presses = counted(*plan.presses);
  return presses + (*plan.presses == 1 ? " gives" : " give") + " the mean to ± " +
         at_most(*plan.half_width_ms) + " (95 %). With " + presses +
         " each, two set-ups are told apart that truly differ by " + at_most(*plan.difference_ms) +
         " or more, with a probability of " + percent(plan.request.power) + ".";
}

std::string wish(const Plan& plan) {
  const std::string wanted = shortest(plan.request.wanted_ms) + " ms";
  return plan.request.question == PlanQuestion::kHalfWidth
             ? "a mean to ± " + wanted + " (95 %)"
             : "telling two set-ups apart that differ by " + wanted;
}

double least_of_wish(const Plan& plan) {
  return plan.request.question == PlanQuestion::kHalfWidth ? plan.least_half_width_ms
                                                           : plan.least_difference_ms;
}

std::string sentence_out_of_reach(const Plan& plan) {
  const double least_ms = least_of_wish(plan);
  std::string text = "Out of reach: " + wish(plan);
  if (least_ms >= plan.request.wanted_ms) {
    // The lasting part has to leave room for the scatter: three quarters of the wish are its most.
    const double allowed_u_ms = 0.75 * plan.lasting_u_ms * plan.request.wanted_ms / least_ms;
    return text + " is less than what is off at every press alike, which leaves ± " +
           at_most(least_ms) +
           " open however many presses there are. What brings it within reach is not more presses "
           "but a standard uncertainty of that of " +
           fixed(allowed_u_ms, decimals_for(allowed_u_ms), Rounding::kDown) +
           " ms or less: a contact wired to a light sensor in place of a camera, or the camera's "
           "readout and the sound's way measured and stated.";
  }
  return text + " would take more than a million presses with a spread of " + nearly(plan.sd_ms) +
         " from press to press.";
}

std::string answer(const Plan& plan) {
  if (!plan.presses) {
    return sentence_out_of_reach(plan);
  }
  switch (plan.request.question) {
    case PlanQuestion::kHalfWidth:
      return counted(*plan.presses) + " give the mean to ± " + shortest(plan.request.wanted_ms) +
             " ms (95 %).";
    case PlanQuestion::kDifference:
      return counted(*plan.presses) + " of each tell two set-ups apart that truly differ by " +
             shortest(plan.request.wanted_ms) + " ms, with a probability of " +
             percent(plan.request.power) + " (95 % confidence).";
    case PlanQuestion::kPresses:
      break;
  }
  return sentence_of_presses(plan);
}

std::string pilot_doubt(const Plan& plan) {
  if (!plan.request.pilot) {
    return "";
  }
  const auto n = static_cast<double>(plan.request.pilot->n);
  return "The spread of the pilot's " + counted(plan.request.pilot->n) +
         " is itself known to about " + fixed(100 / std::sqrt(2 * (n - 1)), 0) + " %.";
}

std::string camera_share(const Plan& plan) {
  return plan.request.sources.camera_hz
             ? "The camera's share is that of counting whole frames by hand; this program reads "
               "steps within a frame, which usually leaves less."
             : "";
}

/// Where the presses are more than anybody makes.
std::string bearable(const Plan& plan) {
  return plan.bearable_sd_ms
             ? "That is more than anybody presses; " + std::to_string(kMostSensiblePresses) +
                   " would do if presses spread by " +
                   fixed(*plan.bearable_sd_ms, decimals_for(*plan.bearable_sd_ms),
                         Rounding::kDown) +
                   " ms or less. A faster camera, or a contact and a light sensor, lessen the "
                   "instruments' part of the spread; the device's own part stays."
             : "";
}

std::string few_presses(const Plan& plan) {
  return plan.presses && *plan.presses < kFewPresses
             ? "So few presses hardly show their own spread: make ten or more."
             : "";
}

/// What no number of presses lessens.
std::string lasting(const Plan& plan) {
  if (plan.lasting_u_ms > 0) {
    return "More presses cannot lessen what is off at every press alike: it leaves ± " +
           at_most(plan.least_half_width_ms) + " of a mean open, and " + "± " +
           at_most(plan.least_difference_ms) +
           " of a difference of two, taken as unrelated (standard uncertainty of one mean: " +
           at_most(plan.lasting_u_ms) + ").";
  }
  return plan.request.pilot ? "The pilot's budget names nothing that is off at every press alike."
                            : "Not counted, and not lessened by more presses: what is off at every "
                              "press alike, as "
                              "an unknown readout, the sound's way or the tie between the clocks. "
                              "A first session's "
                              "budget tells it (--pilot), or you (--lasting-ms).";
}

std::string length(const Plan& plan) {
  if (!plan.presses) {
    return "";
  }
  const bool both = plan.request.question == PlanQuestion::kDifference;
  return std::string(both ? "Both sessions together take " : "The session takes ") +
         duration(plan.least_session_s) + " at the least (each press lights the patch for " +
         fixed(kHoldMs, 0) + " ms and rests it for " + fixed(kRestMs, 0) + " ms), about " +
         duration(plan.unhurried_session_s) + " at an uneven second or two from press to press.";
}

std::string half_periods(const Plan& plan) {
  const statistics::ScatterSources& sources = plan.request.sources;
  std::string text;
  if (sources.refresh_hz) {
    text = nearly(500 / *sources.refresh_hz) + " of the refresh";
  }
  if (sources.poll_interval_ms) {
    text += (text.empty() ? "" : ", ") + nearly(*sources.poll_interval_ms / 2) + " of the polling";
  }
  return text.empty() ? "" : " (" + text + ")";
}

std::string unevenness(const Plan& plan) {
  return "Press at uneven moments. Presses in step with the refresh or the polling meet it at one "
         "phase alone: their mean is off by up to half a period" +
         half_periods(plan) + ", they agree with each other, and no number of them shows it.";
}

std::string remedies(const Plan& plan, std::size_t columns) {
  if (plan.remedies.empty()) {
    return "";
  }
  std::string text = plan.presses ? "Fewer presses with:\n" : "Within reach with:\n";
  for (const Remedy& remedy : plan.remedies) {
    text += "  " + wrap(remedy.what + ": " + counted(remedy.presses), columns - 2, 4);
  }
  return text;
}

}  // namespace

std::string terminal_plan(const Plan& plan, std::size_t columns) {
  std::string text = spread_table(plan);
  const std::string found = remedies(plan, columns);
  const auto add = [&](const std::string& paragraph) {
    text += paragraph.empty() ? "" : '\n' + wrap(paragraph, columns);
  };
  add(answer(plan));
  add(bearable(plan));
  text += found.empty() ? "" : '\n' + found;
  add(few_presses(plan));
  add(pilot_doubt(plan));
  add(camera_share(plan));
  add(lasting(plan));
  add(length(plan));
  add(unevenness(plan));
  return text;
}

}  // namespace thumblight::report
