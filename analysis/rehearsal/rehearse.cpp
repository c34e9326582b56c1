#include "analysis/rehearsal/rehearse.hpp"

#include <fstream>

#include "analysis/rehearsal/log.hpp"
#include "analysis/rehearsal/sensor.hpp"
#include "analysis/rehearsal/setup.hpp"
#include "analysis/rehearsal/video.hpp"
#include "harness/session/error.hpp"

namespace thumblight::rehearsal {

namespace {

void prepare(const std::filesystem::path& folder, const std::string& recording) {
  std::error_code fault;
  std::filesystem::create_directories(folder, fault);
  if (fault) {
    throw Error(folder.string() + ": the folder cannot be made: " + fault.message());
  }
  for (const std::string& name : {std::string("session.jsonl"), recording,
                                  std::string("setup.json"), std::string("truth.json")}) {
    if (std::filesystem::exists(folder / name)) {
      throw Error((folder / name).string() + ": is there already; choose an empty folder");
    }
  }
}

void write_text(const std::string& text, const std::filesystem::path& file) {
  std::ofstream output(file, std::ios::binary);
  output << text;
  output.close();
  if (!output) {
    throw Error(file.string() + ": cannot be written; is the disk full?");
  }
}

}  // namespace

Truth rehearse(const Settings& settings, const std::filesystem::path& folder) {
  Truth truth = make_truth(settings);
  prepare(folder, truth.recording);
  if (settings.log) {
    write_log(truth, folder / "session.jsonl");
  }
  if (settings.recording == RecordingKind::kVideo) {
    film(truth, folder / truth.recording);
  } else {
    trace(truth, folder / truth.recording);
  }
  write_text(setup_text(truth), folder / "setup.json");
  write_text(truth_text(truth), folder / "truth.json");
  return truth;
}

}  // namespace thumblight::rehearsal
