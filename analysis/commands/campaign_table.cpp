#include "analysis/commands/campaign_table.hpp"

#include <CLI/CLI.hpp>

#include "analysis/report/campaign_tables.hpp"

namespace thumblight::commands {
namespace {

std::optional<OutputFile> open(const std::string& file, const Streams& streams) {
  return file.empty() ? std::nullopt : std::make_optional<OutputFile>(file, streams.out);
}

}  // namespace

void add_table_options(CLI::App& app, TableOptions& options) {
  app.add_option("--csv", options.csv, "Write the table of set-ups as CSV; - is standard output")
      ->type_name("FILE");
  app.add_option("--markdown", options.markdown,
                 "Write the table of set-ups as Markdown; - is standard output")
      ->type_name("FILE");
  app.add_option("--colour", options.colour,
                 "Colours on the terminal: auto (unless NO_COLOR is set), always or never")
      ->type_name("WHEN")
      ->check(CLI::IsMember({"auto", "always", "never"}));
  app.add_flag("--ascii", options.ascii,
               "Draw with ASCII alone (as is done where the locale is not UTF-8)");
}

report::TerminalStyle style_of(const TableOptions& options, const Streams& streams) {
  report::TerminalStyle style;
  style.colour = options.colour == "always" || (options.colour == "auto" && streams.colour);
  style.ascii = options.ascii || streams.ascii;
  return style;
}

TableFiles::TableFiles(const TableOptions& options, const Streams& streams)
    : csv_(open(options.csv, streams)), markdown_(open(options.markdown, streams)) {}

void TableFiles::write(const report::Campaign& campaign) const {
  if (csv_) {
    csv_->write(report::encode_campaign_csv(campaign));
  }
  if (markdown_) {
    markdown_->write(report::encode_campaign_markdown(campaign));
  }
}

bool TableFiles::on_standard() const {
  return (csv_ && csv_->is_standard()) || (markdown_ && markdown_->is_standard());
}

}  // namespace thumblight::commands
