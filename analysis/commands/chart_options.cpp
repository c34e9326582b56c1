#include "analysis/commands/chart_options.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cctype>
#include <filesystem>
#include <set>

#include "analysis/report/chart/png.hpp"

namespace thumblight::commands {
namespace {

namespace fs = std::filesystem;
using report::chart::ChartKind;

std::string lower_ending(const fs::path& file) {
  std::string ending = file.extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(),
                 [](unsigned char letter) { return std::tolower(letter); });
  return ending;
}

void check_names(const std::vector<std::string>& files) {
  std::set<fs::path> seen;
  for (const std::string& file : files) {
    const std::string ending = lower_ending(file);
    if (ending != ".svg" && ending != ".png") {
      throw UsageError("--chart " + file + ": name a file that ends in .svg or .png");
    }
    if (!seen.insert(fs::absolute(file).lexically_normal()).second) {
      throw UsageError("--chart " + file + ": is named twice; give each chart its own file");
    }
  }
}

std::vector<ChartKind> kinds_of(const ChartOptions& options) {
  if (options.files.empty() && !options.kinds.empty()) {
    throw UsageError("--chart-kind needs a file to draw into; name it with --chart FILE");
  }
  if (options.kinds.size() > 1 && options.kinds.size() != options.files.size()) {
    throw UsageError("--chart-kind is given " + std::to_string(options.kinds.size()) +
                     " times for " + std::to_string(options.files.size()) +
                     " charts; give it once for all, or once for each --chart");
  }
  std::vector<ChartKind> kinds;
  for (std::size_t k = 0; k < options.files.size(); ++k) {
    const std::string kind = options.kinds.empty()       ? "bars"
                             : options.kinds.size() == 1 ? options.kinds.front()
                                                         : options.kinds[k];
    kinds.push_back(*report::chart::chart_kind_of(kind));
  }
  return kinds;
}

}  // namespace

void add_chart_options(CLI::App& app, ChartOptions& options) {
  app.add_option("--chart", options.files,
                 "Draw a chart of 1920 x 1080 pixels into this file, which ends in .svg or .png; "
                 "may be given several times")
      ->type_name("FILE")
      ->expected(1)
      ->take_all();
  app.add_option("--chart-kind", options.kinds,
                 "What the chart shows: bars, presses or distribution (default: bars); once for "
                 "all charts, or once for each in their order")
      ->type_name("KIND")
      ->expected(1)
      ->take_all()
      ->check(CLI::IsMember({"bars", "presses", "distribution"}));
}

ChartFiles::ChartFiles(const ChartOptions& options, const Streams& streams) {
  check_names(options.files);
  const std::vector<ChartKind> kinds = kinds_of(options);
  for (std::size_t k = 0; k < options.files.size(); ++k) {
    files_.push_back({OutputFile(options.files[k], streams.out), kinds[k],
                      lower_ending(options.files[k]) == ".png"});
  }
}

void ChartFiles::write(const std::function<std::string(ChartKind)>& draw) const {
  for (const ChartFile& chart : files_) {
    const std::string svg = draw(chart.kind);
    chart.file.write(chart.is_png ? report::chart::png_of(svg) : svg);
  }
}

void ChartFiles::write(const report::Result& result) const {
  write([&result](ChartKind kind) { return report::chart::session_chart(result, kind); });
}

}  // namespace thumblight::commands
