#include "analysis/commands/measure_session.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <system_error>

#include "analysis/commands/input_record.hpp"
#include "analysis/commands/output_file.hpp"
#include "analysis/commands/session_folder.hpp"
#include "analysis/commands/session_labels.hpp"
#include "analysis/marks/mark_set.hpp"
#include "analysis/marks/marks_reader.hpp"
#include "analysis/marks/merge.hpp"
#include "analysis/onset/timings_reader.hpp"
#include "analysis/onset/timings_writer.hpp"
#include "analysis/recording/file_digest.hpp"
#include "analysis/report/numbers.hpp"
#include "analysis/report/terminal_timings.hpp"
#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;

constexpr std::array kWritten = {"timings.json", "result.json"};

void add(std::string& text, const char* option, const std::string& value) {
  if (!value.empty()) {
    text += (text.empty() ? "" : " ") + std::string(option) + "=" + value;
  }
}

std::string number(const std::optional<double>& value) {
  return value ? report::shortest(*value) : "";
}

bool holds_marks(const fs::path& folder) {
  const marks::MarkSet set(marks::read_marks(folder / marks::kMarksName).entries, {});
  return std::any_of(set.presses().begin(), set.presses().end(),
                     [](const auto& press) { return press.second.has_marks(); });
}

/// Where nothing is found in a recording, as in one that shows no patch, marks by hand still count.
onset::Timings found_in(const fs::path& recording, const fs::path& folder,
                        const MeasureOptions& options, const onset::Setup& setup,
                        const session::Log* log, const Streams& streams) {
  try {
    return read_recording(recording, setup, log, folder, options.of_recording, streams);
  } catch (const Error& error) {
    if (!holds_marks(folder)) {
      throw;
    }
    return marks::nothing_found(recording, error.what());
  }
}

onset::Timings timings_of(const fs::path& folder, const MeasureOptions& options,
                          const onset::Setup& setup, const session::Log* log,
                          const Streams& streams) {
  const fs::path recording = find_recording(folder, setup.recording);
  if (recording.empty()) {
    const fs::path table = find_timings(folder);
    if (table.empty()) {
      throw Error(folder.string() +
                  ": holds neither a recording nor timings; put the video or the sensor's file "
                  "into it");
    }
    return onset::read_timings(table, setup.capture_rate_hz);
  }
  const OutputFile output(folder / "timings.json", streams.out);
  onset::Timings timings = found_in(recording, folder, options, setup, log, streams);
  output.write(onset::encode_timings_json(timings));
  if (!streams.quiet) {
    write_standard(streams.out, report::terminal_timings(timings) + '\n');
  }
  return timings;
}

}  // namespace

std::string text_of(const MeasureOptions& options) {
  const RecordingOptions& recording = options.of_recording;
  const LinkOptions& link = options.link;
  std::string text;
  add(text, "--capture-rate", number(recording.capture_rate_hz));
  add(text, "--readout", number(recording.readout_ms));
  add(text, "--exposure-share", number(recording.exposure_share));
  add(text, "--threshold", number(recording.threshold));
  add(text, "--press-from", recording.press_from);
  add(text, "--light-from", recording.light_from);
  add(text, "--patch", recording.patch);
  add(text, "--lamp", recording.lamp);
  add(text, "--finger", recording.finger);
  add(text, "--change", recording.change);
  add(text, "--clock-link", link.clock_link);
  if (!link.exchanges.empty()) {
    add(text, "--exchanges", recording::digest_of_file(link.exchanges));
  }
  add(text, "--lamp-lag", link.lamp_lag);
  add(text, "--no-scan-out-prior", link.no_scan_out_prior ? "yes" : "");
  add(text, "--scan-out-share", number(link.scan_out_share));
  return text;
}

report::Result measure_session(const fs::path& folder, const MeasureOptions& options,
                               const Streams& streams) {
  remove_leftovers(folder);
  const auto output = std::make_optional<OutputFile>(folder / "result.json", streams.out);
  const SessionFiles files = session_files(folder);
  // Taken before anything is read: what changes meanwhile is then seen to differ.
  report::Provenance made_from = record_inputs(folder, text_of(options));
  std::optional<session::Log> log;
  if (!files.log.empty()) {
    log = session::read_log(files.log);
  }
  const session::Log* known = log ? &*log : nullptr;
  const onset::Setup setup = setup_with(files.setup, folder, options.of_recording, streams);
  const onset::Timings timings =
      marks::with_marks_in(folder, timings_of(folder, options, setup, known, streams));
  report::Result result = split_session(timings, known, options.link, setup, folder);
  result.labels = merged_labels(std::move(result.labels), files.setup);
  result.made_from = std::move(made_from);
  put_result(result, output, streams);
  return result;
}

void remove_leftovers(const fs::path& folder) {
  std::error_code fault;
  for (fs::directory_iterator entry(folder, fault), end; !fault && entry != end;
       entry.increment(fault)) {
    const std::string name = entry->path().filename().string();
    for (const char* written : kWritten) {
      if (name.starts_with(temporary_name(written))) {
        std::error_code ignored;
        fs::remove(entry->path(), ignored);
      }
    }
  }
}

}  // namespace thumblight::commands
