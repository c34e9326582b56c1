#include <CLI/CLI.hpp>
#include <filesystem>
#include <memory>
#include <optional>
#include <system_error>

#include "analysis/commands/number_option.hpp"
#include "analysis/commands/output_file.hpp"
#include "analysis/commands/pilot.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/report/plan.hpp"
#include "analysis/report/plan_json.hpp"
#include "analysis/report/terminal_plan.hpp"

namespace thumblight::commands {
namespace {

constexpr char kPlanExamples[] =
    "Examples:\n"
    "  thumblight-analysis plan --camera-rate 240 --refresh 60 --polling-ms 8 --half-width-ms 1\n"
    "  thumblight-analysis plan --pilot evening-1 --difference-ms 2\n"
    "  thumblight-analysis plan --pilot evening-1 --portion remainder --presses 100 --out -";

struct PlanOptions {
  std::optional<double> camera_hz;
  std::optional<double> refresh_hz;
  std::optional<double> polling_ms;
  std::optional<double> spread_ms;
  std::optional<double> lasting_ms;
  std::string pilot;
  std::string portion;
  std::optional<double> half_width_ms;
  std::optional<double> difference_ms;
  std::optional<std::size_t> presses;
  std::optional<double> power;
  std::string out;
};

timing::Portion portion_of(const std::string& name) {
  for (const timing::Portion portion : timing::kPortions) {
    if (name == timing::name(portion)) {
      return portion;
    }
  }
  return timing::Portion::kTotal;
}

bool states_a_source(const PlanOptions& options) {
  return options.camera_hz || options.refresh_hz || options.polling_ms || options.spread_ms;
}

void check_sources(const PlanOptions& options) {
  if (options.pilot.empty() && !states_a_source(options)) {
    throw UsageError(
        "plan needs to know why presses differ: give --camera-rate, --refresh, --polling-ms or "
        "--spread-ms, or a first session with --pilot; see plan --help");
  }
  if (!options.pilot.empty() && states_a_source(options)) {
    throw UsageError(
        "the spread of a --pilot holds camera, refresh, polling and all else already; leave "
        "either it or the others out");
  }
  if (options.pilot.empty() && !options.portion.empty()) {
    throw UsageError("--portion says what to take from a pilot; name one with --pilot");
  }
}

void check_wish(const PlanOptions& options) {
  const int wishes =
      (options.half_width_ms ? 1 : 0) + (options.difference_ms ? 1 : 0) + (options.presses ? 1 : 0);
  if (wishes != 1) {
    throw UsageError(std::string(wishes == 0
                                     ? "say what is wanted: one of "
                                     : "these wishes are more than one plan; give one of ") +
                     "--half-width-ms, --difference-ms and --presses");
  }
  if (options.power && options.half_width_ms) {
    throw UsageError("--power is of telling two set-ups apart; --half-width-ms has no use for it");
  }
}

report::PlanRequest request_of(const PlanOptions& options) {
  report::PlanRequest request;
  request.sources = {.camera_hz = options.camera_hz,
                     .refresh_hz = options.refresh_hz,
                     .poll_interval_ms = options.polling_ms,
                     .other_sd_ms = options.spread_ms};
  if (!options.pilot.empty()) {
    request.pilot = read_pilot(options.pilot, portion_of(options.portion));
  }
  request.lasting_u_ms = options.lasting_ms.value_or(0);
  request.power = options.power.value_or(request.power);
  if (options.presses) {
    request.question = report::PlanQuestion::kPresses;
    request.presses = *options.presses;
  } else if (options.difference_ms) {
    request.question = report::PlanQuestion::kDifference;
    request.wanted_ms = *options.difference_ms;
  } else {
    request.wanted_ms = *options.half_width_ms;
  }
  return request;
}

/// Writing the plan over the pilot would lose it.
void refuse_to_overwrite(const PlanOptions& options) {
  std::error_code ignored;
  if (!options.pilot.empty() && !options.out.empty() &&
      std::filesystem::equivalent(options.pilot, options.out, ignored)) {
    throw UsageError(options.out + ": is the pilot itself; name another file with --out");
  }
}

void run_plan(const PlanOptions& options, const Streams& streams) {
  check_sources(options);
  check_wish(options);
  refuse_to_overwrite(options);
  std::optional<OutputFile> output;
  if (!options.out.empty()) {
    output.emplace(options.out, streams.out);
  }
  const report::Plan plan = report::make_plan(request_of(options));
  if (output) {
    output->write(report::encode_plan_json(plan));
  }
  if (!streams.quiet && !(output && output->is_standard())) {
    write_standard(streams.out, report::terminal_plan(plan, streams.columns));
  }
}

void add_source_options(CLI::App& app, PlanOptions& options) {
  app.add_option("--camera-rate", options.camera_hz,
                 "Images per second of the camera, whole frames counted")
      ->type_name("HZ")
      ->check(number_between(1, 1e6, "number of hertz"));
  app.add_option("--refresh", options.refresh_hz, "Refresh rate for which a flash has to wait")
      ->type_name("HZ")
      ->check(number_between(1, 1e4, "number of hertz"));
  app.add_option("--polling-ms", options.polling_ms,
                 "Interval at which the controller is asked (8 for 125 times a second)")
      ->type_name("MS")
      ->check(number_between(0.01, 1000, "number of milliseconds"));
  app.add_option("--spread-ms", options.spread_ms,
                 "Standard deviation of one press from anything else")
      ->type_name("MS")
      ->check(number_between(0.001, 10'000, "number of milliseconds"));
  app.add_option("--lasting-ms", options.lasting_ms,
                 "Standard uncertainty of what is off at every press alike; a pilot's comes on top")
      ->type_name("MS")
      ->check(number_between(0, 10'000, "number of milliseconds"));
  app.add_option("--pilot", options.pilot,
                 "A first session, folder or result.json: its spread and its lasting uncertainty")
      ->type_name("SESSION");
  app.add_option("--portion", options.portion, "Portion of the pilot (default: total)")
      ->type_name("PORTION")
      ->check(CLI::IsMember({"total", "delivery", "render", "screen", "display", "remainder"}));
}

void add_wish_options(CLI::App& app, PlanOptions& options) {
  app.add_option("--half-width-ms", options.half_width_ms,
                 "Wanted: the mean to so much on either side (95 %)")
      ->type_name("MS")
      ->check(number_between(0.001, 10'000, "number of milliseconds"));
  app.add_option("--difference-ms", options.difference_ms,
                 "Wanted: to tell two set-ups apart that differ by so much")
      ->type_name("MS")
      ->check(number_between(0.001, 10'000, "number of milliseconds"));
  app.add_option("--presses", options.presses, "The other way round: what so many presses carry")
      ->type_name("N")
      ->check([](const std::string& text) {
        const bool whole = text.find_first_not_of("0123456789") == std::string::npos;
        return whole ? number_between(2, statistics::kMostPlannedPresses, "number of presses")(text)
                     : "'" + text + "' is no whole number of presses, two or more";
      });
  app.add_option("--power", options.power,
                 "Probability with which the difference is to be resolved (default: 0.9)")
      ->type_name("SHARE")
      ->check(number_between(0.06, 0.9999, "probability"));
}

}  // namespace

Action add_plan(CLI::App& app) {
  auto options = std::make_shared<PlanOptions>();
  add_source_options(app, *options);
  add_wish_options(app, *options);
  app.add_option("--out", options->out, "Write the plan as JSON; - is standard output")
      ->type_name("FILE");
  app.footer(kPlanExamples);
  return [options](const Streams& streams) { run_plan(*options, streams); };
}

}  // namespace thumblight::commands
