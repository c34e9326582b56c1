#include "analysis/timing/split.hpp"

#include <CLI/CLI.hpp>
#include <charconv>
#include <filesystem>
#include <memory>
#include <optional>
#include <system_error>

#include "analysis/commands/output_file.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/onset/timings_reader.hpp"
#include "analysis/report/result_json.hpp"
#include "analysis/report/terminal_table.hpp"
#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;

constexpr char kExamples[] =
    "Examples:\n"
    "  thumblight-analysis split evening-1\n"
    "  thumblight-analysis split --timings marks.csv --capture-rate 240\n"
    "  thumblight-analysis split --timings sensor.json --log session.jsonl --clock-link shared\n"
    "  thumblight-analysis split evening-1 --quiet --out - | less";

/// The options as given; empty where they are not.
struct Options {
  std::string folder;
  std::string timings;
  std::string log;
  std::string clock_link;
  std::string out;
  std::optional<double> capture_rate_hz;
};

/// The files that a run reads and writes; empty paths for none.
struct Files {
  fs::path timings;
  fs::path log;
  fs::path out;
};

fs::path timings_in(const fs::path& folder) {
  for (const char* name : {"timings.json", "timings.csv"}) {
    if (fs::exists(folder / name)) {
      return folder / name;
    }
  }
  throw Error(folder.string() +
              ": holds neither timings.json nor timings.csv; make one from the "
              "recording, or name it with --timings");
}

Files files_of(const Options& options) {
  Files files{options.timings, options.log, options.out};
  if (options.folder.empty()) {
    if (files.timings.empty()) {
      throw UsageError("split needs a session folder or --timings FILE; see split --help");
    }
    return files;
  }
  const fs::path folder = options.folder;
  if (!fs::is_directory(folder)) {
    throw Error(folder.string() + ": is no folder; name the folder of a session");
  }
  if (files.timings.empty()) {
    files.timings = timings_in(folder);
  }
  if (files.log.empty() && fs::exists(folder / "session.jsonl")) {
    files.log = folder / "session.jsonl";
  }
  if (files.out.empty()) {
    files.out = folder / "result.json";
  }
  return files;
}

/// Writing the result over what it is made from would lose the evidence.
void refuse_to_overwrite(const Files& files) {
  for (const fs::path& input : {files.timings, files.log}) {
    std::error_code ignored;
    if (!input.empty() && fs::equivalent(input, files.out, ignored)) {
      throw UsageError(files.out.string() +
                       ": is what the result is made from; name another file with --out");
    }
  }
}

std::optional<OutputFile> open_output(const Files& files, const Streams& streams) {
  if (files.out.empty()) {
    return std::nullopt;
  }
  refuse_to_overwrite(files);
  return std::make_optional<OutputFile>(files.out, streams.out);
}

timing::ClockLinkKind choose_link(const Options& options, const onset::Timings& timings,
                                  bool has_log) {
  if (options.clock_link.empty()) {
    return timing::default_clock_link(timings.recording.clock, has_log);
  }
  const auto kind = timing::clock_link_of(options.clock_link);
  if (!kind || (*kind != timing::ClockLinkKind::kNone && !has_log)) {
    throw UsageError("--clock-link " + options.clock_link +
                     " needs the session log; name it with --log");
  }
  return *kind;
}

report::Result split_files(const Options& options, const Files& files) {
  std::optional<session::Log> log;
  if (!files.log.empty()) {
    log = session::read_log(files.log);
  }
  const onset::Timings timings = onset::read_timings(files.timings, options.capture_rate_hz);
  const session::Log* known = log ? &*log : nullptr;
  const timing::ClockLinkKind kind = choose_link(options, timings, log.has_value());
  return report::make_result(timing::split_presses(timings, known, kind), timings, known);
}

void run_split(const Options& options, const Streams& streams) {
  const Files files = files_of(options);
  const std::optional<OutputFile> output = open_output(files, streams);
  const report::Result result = split_files(options, files);
  if (output) {
    output->write(report::encode_result_json(result));
  }
  if (streams.quiet) {
    return;
  }
  streams.err << report::terminal_warnings(result.split.warnings);
  if (!output || !output->is_standard()) {
    write_standard(streams.out, report::terminal_table(result));
  }
}

/// What is wrong with a capture rate; empty if nothing. CLI11's own range lets NaN through, which
/// lies beyond neither end.
std::string fault_of_rate(const std::string& text) {
  constexpr double kLowest_hz = 1e-3;
  constexpr double kHighest_hz = 1e9;
  double rate_hz = 0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), rate_hz);
  const bool is_rate = fault == std::errc() && end == text.data() + text.size() &&
                       rate_hz >= kLowest_hz && rate_hz <= kHighest_hz;
  return is_rate ? "" : "'" + text + "' is not a number of hertz from 0.001 to 1e9";
}

}  // namespace

Action add_split(CLI::App& app) {
  auto options = std::make_shared<Options>();
  app.add_option("folder", options->folder,
                 "Session folder: its timings.json (or timings.csv) and session.jsonl are read, "
                 "result.json is written there");
  app.add_option("--timings", options->timings, "Timings, as JSON or as a table")
      ->type_name("FILE");
  app.add_option("--log", options->log, "Log of the harness")->type_name("FILE");
  app.add_option("--clock-link", options->clock_link,
                 "What ties the clocks: shared, causality or none (default: none without a log, "
                 "shared for timings on the host's clock, else causality)")
      ->type_name("LINK")
      ->check(CLI::IsMember({"shared", "causality", "none"}));
  app.add_option("--capture-rate", options->capture_rate_hz,
                 "Images per second at which a table's frames were captured")
      ->type_name("HZ")
      ->check(fault_of_rate);
  app.add_option("--out", options->out, "Where the result is written as JSON; - is standard output")
      ->type_name("FILE");
  app.footer(kExamples);
  return [options](const Streams& streams) { run_split(*options, streams); };
}

}  // namespace thumblight::commands
