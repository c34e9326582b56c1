#include "analysis/rehearsal/rehearse.hpp"

#include <CLI/CLI.hpp>
#include <fstream>
#include <iterator>
#include <memory>
#include <optional>

#include "analysis/commands/output_file.hpp"
#include "analysis/commands/verbs.hpp"
#include "harness/session/error.hpp"

namespace thumblight::commands {
namespace {

constexpr char kRehearseExamples[] =
    "Examples:\n"
    "  thumblight-analysis rehearse try-1 --preset wireless-pad --presses 40\n"
    "  thumblight-analysis rehearse --preset old-tube --print-settings > tube.json\n"
    "  thumblight-analysis rehearse try-2 --settings tube.json --seed 7";

struct RehearseOptions {
  std::string folder;
  std::string preset;
  std::string settings;
  std::optional<std::uint64_t> seed;
  std::optional<int> presses;
  bool print_settings = false;
};

std::string load(const std::string& file) {
  std::ifstream input(file, std::ios::binary);
  std::string text{std::istreambuf_iterator<char>(input), std::istreambuf_iterator<char>()};
  if (!input) {
    throw Error(file + ": cannot be read; check the path");
  }
  return text;
}

rehearsal::Settings settings_of(const RehearseOptions& options) {
  rehearsal::Settings settings;
  if (!options.preset.empty()) {
    settings = rehearsal::preset(options.preset);
  }
  if (!options.settings.empty()) {
    settings = rehearsal::parse_settings(load(options.settings), options.settings);
  }
  settings.seed = options.seed.value_or(settings.seed);
  settings.press.count = options.presses.value_or(static_cast<int>(settings.press.count));
  rehearsal::check(settings);
  return settings;
}

std::string told(const rehearsal::Truth& truth, const std::string& folder) {
  const std::size_t presses = truth.presses.size();
  return folder + ": " + std::to_string(presses) + (presses == 1 ? " press" : " presses") +
         " rehearsed, recorded as " + truth.recording +
         "; the truth is in truth.json. Next: thumblight-analysis measure " + folder + '\n';
}

void run_rehearse(const RehearseOptions& options, const Streams& streams) {
  const rehearsal::Settings settings = settings_of(options);
  if (options.print_settings) {
    write_standard(streams.out, rehearsal::settings_text(settings) + '\n');
    return;
  }
  if (options.folder.empty()) {
    throw UsageError("rehearse needs a folder to make; see rehearse --help");
  }
  const rehearsal::Truth truth = rehearsal::rehearse(settings, options.folder);
  if (!streams.quiet) {
    write_standard(streams.out, told(truth, options.folder));
  }
}

}  // namespace

Action add_rehearse(CLI::App& app) {
  auto options = std::make_shared<RehearseOptions>();
  app.add_option("folder", options->folder, "Session folder to make; must not hold one already");
  auto* preset =
      app.add_option("--preset", options->preset, "A ready-made set-up of invented devices")
          ->type_name("NAME")
          ->check(CLI::IsMember(rehearsal::preset_names()));
  app.add_option("--settings", options->settings,
                 "Settings as JSON; what is left out keeps its default, the key 'preset' starts "
                 "from a ready-made set-up")
      ->type_name("FILE")
      ->excludes(preset);
  app.add_option("--seed", options->seed, "Another number makes other random delays (default: 1)")
      ->type_name("N");
  app.add_option("--presses", options->presses, "How many times the button is pressed")
      ->type_name("N")
      ->check(CLI::Range(1, 100'000));
  app.add_flag("--print-settings", options->print_settings,
               "Print every setting as JSON instead, to be changed by hand");
  app.footer(kRehearseExamples);
  return [options](const Streams& streams) { run_rehearse(*options, streams); };
}

}  // namespace thumblight::commands
