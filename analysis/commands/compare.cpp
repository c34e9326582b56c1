#include <CLI/CLI.hpp>
#include <filesystem>
#include <memory>
#include <optional>

#include "analysis/commands/campaign_folder.hpp"
#include "analysis/commands/chart_options.hpp"
#include "analysis/commands/compare_campaign.hpp"
#include "analysis/commands/output_file.hpp"
#include "analysis/commands/read_session.hpp"
#include "analysis/commands/recording_options.hpp"
#include "analysis/commands/several_sessions.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/report/chart/chart.hpp"
#include "analysis/report/comparison.hpp"
#include "analysis/report/comparison_json.hpp"
#include "analysis/report/terminal_comparison.hpp"
#include "analysis/report/terminal_table.hpp"

namespace thumblight::commands {
namespace {

constexpr char kCompareExamples[] =
    "Examples:\n"
    "  thumblight-analysis compare wired wireless\n"
    "  thumblight-analysis compare wired wireless bluetooth --out comparison.json\n"
    "  thumblight-analysis compare wired wireless --chart bars.png\n"
    "  thumblight-analysis compare wired wireless --quiet --out - | less\n"
    "  thumblight-analysis compare evenings                     # a campaign\n"
    "  thumblight-analysis compare evenings --sort controller --where connection=wired\n"
    "  thumblight-analysis compare evenings --csv set-ups.csv --markdown set-ups.md";

struct CompareOptions {
  std::vector<std::string> sessions;
  LinkOptions link;
  std::optional<double> capture_rate_hz;
  CampaignOptions campaign;  ///< of which `out` and `table` serve single sessions too
  ChartOptions charts;
};

std::vector<std::string> names_of(const std::vector<std::filesystem::path>& folders) {
  std::vector<std::string> names;
  names.reserve(folders.size());
  for (const std::filesystem::path& folder : folders) {
    names.push_back(folder.string());
  }
  return names;
}

void check_outputs(const std::vector<std::string>& sessions, const CampaignOptions& options) {
  int on_standard = 0;
  for (const std::string& output : {options.out, options.table.csv, options.table.markdown}) {
    on_standard += output == "-" ? 1 : 0;
    if (!output.empty() && output != "-") {
      refuse_to_overwrite(sessions, output);
    }
  }
  if (on_standard > 1) {
    throw UsageError("only one of --out, --csv and --markdown can be standard output");
  }
}

report::ComparisonResult compare_all(const CompareOptions& options) {
  std::vector<report::ComparedSession> sessions;
  for (const std::string& session : options.sessions) {
    sessions.push_back(read_session(session, options.link, options.capture_rate_hz));
  }
  return report::compare_sessions(std::move(sessions));
}

/// The warnings of each session, under its name.
void tell_warnings(const report::ComparisonResult& comparison, const Streams& streams) {
  for (const report::ComparedSession& session : comparison.sessions) {
    if (!session.result.split.warnings.empty()) {
      streams.err << "of " << session.name << ":\n"
                  << report::terminal_warnings(session.result.split.warnings);
    }
  }
}

/// What a campaign's sessions are measured with is said to `measure`.
void refuse_link(const CompareOptions& options) {
  const LinkOptions& link = options.link;
  if (!link.clock_link.empty() || !link.exchanges.empty() || !link.lamp_lag.empty() ||
      link.no_scan_out_prior || link.scan_out_share || options.capture_rate_hz) {
    throw UsageError(
        "a campaign is compared as it was measured; give options of the clock link and the "
        "capture rate to measure");
  }
}

void refuse_selection(const CampaignOptions& options) {
  if (options.sort != CampaignOptions().sort || !options.where.empty()) {
    throw UsageError("--sort and --where are for the folder of a campaign");
  }
}

void run_compare(const CompareOptions& options, const Streams& streams) {
  if (options.sessions.size() == 1 && is_campaign(options.sessions.front())) {
    refuse_link(options);
    if (!options.charts.files.empty()) {
      throw UsageError("for a chart, name the sessions themselves, as " + options.sessions.front() +
                       "/*");
    }
    check_outputs(names_of(sessions_in(options.sessions.front())), options.campaign);
    compare_campaign(options.sessions.front(), options.campaign, streams);
    return;
  }
  if (options.sessions.size() < 2) {
    throw UsageError(
        "compare needs two sessions or more, or the folder of a campaign; see compare --help");
  }
  check_sessions(options.sessions, "compare");
  check_link(options.link);
  refuse_selection(options.campaign);
  check_outputs(options.sessions, options.campaign);
  const std::string& out = options.campaign.out;
  const auto output = out.empty() ? std::nullopt : std::make_optional<OutputFile>(out, streams.out);
  const TableFiles files(options.campaign.table, streams);
  const ChartFiles charts(options.charts, streams);
  const report::ComparisonResult comparison = compare_all(options);
  if (files.any()) {
    files.write(report::make_campaign(comparison.sessions));
  }
  if (output) {
    output->write(report::encode_comparison_json(comparison));
  }
  charts.write([&comparison](report::chart::ChartKind kind) {
    return report::chart::comparison_chart(comparison, kind);
  });
  if (streams.quiet) {
    return;
  }
  tell_warnings(comparison, streams);
  if (!files.on_standard() && (!output || !output->is_standard())) {
    write_standard(streams.out, report::terminal_comparison(comparison, streams.columns));
  }
}

}  // namespace

Action add_compare(CLI::App& app) {
  auto options = std::make_shared<CompareOptions>();
  app.add_option(
         "sessions", options->sessions,
         "Session folders that have been measured, or their result.json, two or more; or one "
         "folder of such folders, a campaign")
      ->type_name("SESSION");
  add_link_options(app, options->link);
  app.add_option("--capture-rate", options->capture_rate_hz,
                 "Images per second at which the frames of tables made by hand were captured "
                 "(default: setup.json's)")
      ->type_name("HZ")
      ->check(fault_of_rate);
  app.add_option("--out", options->campaign.out,
                 "Write the comparison as JSON; - is standard output")
      ->type_name("FILE");
  add_chart_options(app, options->charts);
  app.add_option("--sort", options->campaign.sort,
                 "Campaign: what the set-ups are sorted by, a portion (total, delivery, render, "
                 "screen, remainder: ranks are by it too) or a label")
      ->type_name("PORTION|LABEL");
  app.add_option("--where", options->campaign.where,
                 "Campaign: only the sessions with this label; may be said again")
      ->type_name("KEY=VALUE")
      ->allow_extra_args(false)
      ->check([](const std::string& text) {
        return text.find('=') == std::string::npos || text.front() == '='
                   ? "'" + text + "' is no condition; write it as connection=wired"
                   : "";
      });
  add_table_options(app, options->campaign.table);
  app.footer(kCompareExamples);
  return [options](const Streams& streams) { run_compare(*options, streams); };
}

}  // namespace thumblight::commands
