#include "analysis/onset/trace_sources.hpp"

#include <array>
#include <cstddef>

#include "analysis/recording/ahead_queue.hpp"
#include "analysis/recording/sample_table.hpp"
#include "analysis/recording/sound_reader.hpp"

namespace thumblight::onset {
namespace {

class SoundTrace : public TraceSource {
 public:
  explicit SoundTrace(const std::filesystem::path& file)
      : reader_(file),
        blocks_([this](recording::SoundReader::Block& block) { return reader_.next(block); },
                kMostWaiting) {}

  int channels() const override { return reader_.channels(); }
  std::optional<double> expected() const override { return reader_.expected_samples(); }
  bool next(Sample& sample) override {
    const auto channels = static_cast<std::size_t>(reader_.channels());
    while (at_ * channels >= block_.samples.size()) {
      if (!blocks_.next(block_)) {
        return false;
      }
      at_ = 0;
    }
    sample.time_s = block_.start_s + static_cast<double>(at_) / reader_.rate_hz();
    sample.value = block_.samples.data() + at_ * channels;
    ++at_;
    return true;
  }

 private:
  static constexpr std::size_t kMostWaiting = 32;

  recording::SoundReader reader_;
  recording::AheadQueue<recording::SoundReader::Block> blocks_;
  recording::SoundReader::Block block_;
  std::size_t at_ = 0;
};

/// Channel 0 is the light, 1 the press; a column that is missing stays 0.
class TableTrace : public TraceSource {
 public:
  explicit TableTrace(const std::filesystem::path& file) : table_(file) {}

  int channels() const override { return 2; }
  std::optional<double> expected() const override { return std::nullopt; }
  bool next(Sample& sample) override {
    const std::optional<recording::SampleTable::Sample> row = table_.next();
    if (!row) {
      return false;
    }
    values_ = {static_cast<float>(row->light), static_cast<float>(row->press)};
    sample.time_s = row->time_s;
    sample.value = values_.data();
    return true;
  }

 private:
  recording::SampleTable table_;
  std::array<float, 2> values_{};
};

}  // namespace

TraceFile open_trace_file(const std::filesystem::path& file) {
  TraceFile trace;
  if (file.extension() == ".csv" || file.extension() == ".CSV") {
    const recording::SampleTable table(file);
    trace.kind = "table";
    trace.light_channel = table.has_light() ? 0 : -1;
    trace.press_channel = table.has_press() ? 1 : -1;
    trace.why = "the table states the time of each sample";
    trace.open = [file] { return std::make_unique<TableTrace>(file); };
    return trace;
  }
  const recording::SoundReader reader(file);
  trace.kind = "sound";
  trace.nominal_hz = reader.rate_hz();
  trace.why = "samples are counted at the file's sample rate";
  trace.open = [file] { return std::make_unique<SoundTrace>(file); };
  return trace;
}

}  // namespace thumblight::onset
