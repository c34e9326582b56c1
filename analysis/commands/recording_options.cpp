#include "analysis/commands/recording_options.hpp"

#include <CLI/CLI.hpp>
#include <array>
#include <charconv>

#include "analysis/commands/progress_line.hpp"
#include "analysis/marks/mark_set.hpp"
#include "analysis/marks/marks_reader.hpp"
#include "analysis/marks/regions.hpp"
#include "analysis/onset/extract.hpp"

namespace thumblight::commands {
namespace {

/// The number that the whole of `text` is; empty if it is none. Independent of the locale.
std::optional<double> number_in(std::string_view text) {
  double value = 0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
  return fault == std::errc() && end == text.data() + text.size() ? std::optional<double>(value)
                                                                  : std::nullopt;
}

/// CLI11's own range lets NaN through, which lies beyond neither end.
std::string fault_of_number(const std::string& text, double least, double most,
                            const std::string& what) {
  const std::optional<double> value = number_in(text);
  return value && *value >= least && *value <= most ? "" : "'" + text + "' is not " + what;
}

/// X,Y,W,H in pixels of the upright picture; empty if `text` is nothing of the kind.
std::optional<onset::Region> region_in(std::string_view text) {
  std::array<double, 4> sides{};
  for (std::size_t k = 0; k < sides.size(); ++k) {
    const std::size_t comma = k + 1 < sides.size() ? text.find(',') : text.size();
    if (comma == std::string_view::npos) {
      return std::nullopt;
    }
    const std::optional<double> side = number_in(text.substr(0, comma));
    if (!side || *side < 0 || *side > 1e5) {
      return std::nullopt;
    }
    sides[k] = *side;
    text.remove_prefix(std::min(comma + 1, text.size()));
  }
  if (sides[2] < 1 || sides[3] < 1) {
    return std::nullopt;
  }
  return onset::Region{sides[0], sides[1], sides[2], sides[3]};
}

std::string fault_of_region(const std::string& text) {
  return region_in(text) ? "" : "'" + text + "' is no rectangle X,Y,W,H in pixels, as 120,80,40,40";
}

void add_region(CLI::App& app, const std::string& name, std::string& into,
                const std::string& help) {
  app.add_option(name, into, help)->type_name("X,Y,W,H")->check(fault_of_region);
}

void choose(std::optional<onset::Region>& region, const std::string& text) {
  if (!text.empty()) {
    region = region_in(text);
  }
}

void take_dragged_regions(const std::filesystem::path& folder, onset::Setup& setup,
                          const Streams& streams) {
  const marks::MarkLog log = marks::read_marks(folder / marks::kMarksName);
  std::string names;
  for (const std::string& name :
       marks::take_regions(marks::MarkSet(log.entries, {}).regions(), setup)) {
    names += (names.empty() ? "" : " and ") + name;
  }
  if (!names.empty() && !streams.quiet) {
    streams.err << "regions: " << names << " as dragged by hand (" << marks::kMarksName << ")\n";
  }
}

}  // namespace

std::string fault_of_rate(const std::string& text) {
  return fault_of_number(text, 1e-3, 1e9, "a number of hertz from 0.001 to 1e9");
}

void add_recording_options(CLI::App& app, RecordingOptions& options) {
  app.add_option("--capture-rate", options.capture_rate_hz,
                 "Images per second at which the frames were captured, where the file is marked "
                 "with another rate (slow motion)")
      ->type_name("HZ")
      ->check(fault_of_rate);
  app.add_option("--readout", options.readout_ms,
                 "Milliseconds from the exposure of the sensor's first row to that of its last")
      ->type_name("MS")
      ->check([](const std::string& text) {
        return fault_of_number(text, 0, 1000, "a number of milliseconds from 0 to 1000");
      });
  app.add_option("--exposure-share", options.exposure_share,
                 "Share of a frame's time for which the shutter is open")
      ->type_name("SHARE")
      ->check([](const std::string& text) {
        return fault_of_number(text, 1e-3, 1, "a share from 0.001 to 1");
      });
  app.add_option("--threshold", options.threshold,
                 "Share of the step in luminance that counts as light (default: 0.1)")
      ->type_name("SHARE")
      ->check([](const std::string& text) {
        return fault_of_number(text, 0.01, 0.99, "a share from 0.01 to 0.99");
      });
  app.add_option("--press-from", options.press_from,
                 "What shows the press: lamp, finger, sound or contact (default: what is found)")
      ->type_name("WHAT")
      ->check(CLI::IsMember({"lamp", "finger", "sound", "contact"}));
  app.add_option("--light-from", options.light_from,
                 "What is taken for light: the step of a patch, or whatever changes on the screen "
                 "after a press (default: step, or change where there is no log and no patch but "
                 "--change)")
      ->type_name("WHAT")
      ->check(CLI::IsMember({"step", "change"}));
  add_region(app, "--patch", options.patch, "Where the patch is, in pixels of the upright picture");
  add_region(app, "--lamp", options.lamp, "Where the lamp on the button is");
  add_region(app, "--finger", options.finger, "Where the finger moves");
  add_region(app, "--change", options.change, "Where the screen answers, where no patch flashes");
  app.add_option("--threads", options.threads, "Threads that decode (default: one a core)")
      ->type_name("N")
      ->check(CLI::Range(0, 256));
  app.add_flag("--no-pictures", options.no_pictures, "Draw neither regions.png nor evidence");
}

onset::Setup setup_with(const std::filesystem::path& file, const std::filesystem::path& folder,
                        const RecordingOptions& options, const Streams& streams) {
  onset::Setup setup = file.empty() ? onset::Setup{} : onset::read_setup(file);
  setup.press_from = options.press_from.empty() ? setup.press_from : options.press_from;
  take_dragged_regions(folder, setup, streams);
  if (options.capture_rate_hz) {
    setup.capture_rate_hz = options.capture_rate_hz;
  }
  if (options.readout_ms) {
    setup.readout_s = *options.readout_ms / 1e3;
  }
  if (options.exposure_share) {
    setup.exposure_share = options.exposure_share;
  }
  setup.threshold = options.threshold.value_or(setup.threshold);
  setup.light_from = options.light_from.empty() ? setup.light_from : options.light_from;
  choose(setup.patch, options.patch);
  choose(setup.lamp, options.lamp);
  choose(setup.finger, options.finger);
  choose(setup.change, options.change);
  return setup;
}

onset::Timings read_recording(const std::filesystem::path& recording, const onset::Setup& setup,
                              const session::Log* log, const std::filesystem::path& pictures,
                              const RecordingOptions& options, const Streams& streams) {
  ProgressLine line(streams.err, streams.progress, "reading " + recording.filename().string());
  onset::Request request;
  request.recording = recording;
  request.log = log;
  request.setup = setup;
  request.threads = options.threads;
  if (!options.no_pictures) {
    request.evidence = pictures;
  }
  request.progress = [&line](double done, std::optional<double> all) { line.tell(done, all); };
  return onset::extract(request);
}

}  // namespace thumblight::commands
