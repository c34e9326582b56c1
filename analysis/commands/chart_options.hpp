#pragma once

#include <CLI/App.hpp>
#include <functional>
#include <string>
#include <vector>

#include "analysis/commands/output_file.hpp"
#include "analysis/commands/verbs.hpp"
#include "analysis/report/chart/chart.hpp"
#include "analysis/report/result.hpp"

namespace thumblight::commands {

/// Charts that are asked for: `--chart FILE` and `--chart-kind KIND`, each as often as wanted.
struct ChartOptions {
  std::vector<std::string> files;
  std::vector<std::string> kinds;  ///< none: bars; one: of all files; else one for each file
};

void add_chart_options(CLI::App& app, ChartOptions& options);

/// The files of the charts, known to be writable before the work starts.
class ChartFiles {
 public:
  /// Throws `UsageError` where a name ends neither in .svg nor in .png, is given twice, or the
  /// kinds are not as many as the files; `Error` where a file cannot be written.
  ChartFiles(const ChartOptions& options, const Streams& streams);

  /// Draws each as SVG by `draw` and writes it, as PNG where the name says so.
  void write(const std::function<std::string(report::chart::ChartKind)>& draw) const;

  /// Those of one session.
  void write(const report::Result& result) const;

 private:
  struct ChartFile {
    OutputFile file;
    report::chart::ChartKind kind;
    bool is_png;
  };

  std::vector<ChartFile> files_;
};

}  // namespace thumblight::commands
