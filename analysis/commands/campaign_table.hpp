#pragma once

#include <CLI/App.hpp>
#include <optional>
#include <string>
#include <vector>

#include "analysis/commands/output_file.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/report/campaign.hpp"
#include "analysis/report/portion_bar.hpp"

namespace thumblight::commands {

/// How the table of set-ups is to be written; empty for not.
struct TableOptions {
  std::string csv;
  std::string markdown;
  std::string colour = "auto";
  bool ascii = false;
};

void add_table_options(CLI::App& app, TableOptions& options);

report::TerminalStyle style_of(const TableOptions& options, const Streams& streams);

/// The files that the table goes into, found out to be writable at once.
class TableFiles {
 public:
  TableFiles(const TableOptions& options, const Streams& streams);

  void write(const report::Campaign& campaign) const;
  bool any() const { return csv_ || markdown_; }
  /// Whether a table goes to standard output, which then takes nothing else.
  bool on_standard() const;

 private:
  std::optional<OutputFile> csv_;
  std::optional<OutputFile> markdown_;
};

}  // namespace thumblight::commands
