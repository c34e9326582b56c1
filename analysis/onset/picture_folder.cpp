#include "analysis/onset/picture_folder.hpp"

#include <system_error>
#include <utility>

#include "harness/session/error.hpp"

namespace thumblight::onset {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void throw_fault(const fs::path& folder, const std::error_code& fault) {
  throw Error(folder.string() + ": the pictures of the evidence cannot be put there (" +
              fault.message() + "); name another folder, or go without them (--no-pictures)");
}

bool is_strip(const fs::path& file) {
  const std::string name = file.filename().string();
  return name.rfind("press-", 0) == 0 && file.extension() == ".jpg";
}

/// Strips of an earlier run; other files there are somebody else's.
void remove_strips(const fs::path& evidence, std::error_code& fault) {
  for (auto entry = fs::directory_iterator(evidence, fault);
       !fault && entry != fs::directory_iterator(); entry.increment(fault)) {
    if (is_strip(entry->path())) {
      std::error_code ignored;  // one that stays is written over or shows an earlier press
      fs::remove(entry->path(), ignored);
    }
  }
}

}  // namespace

PictureFolder::PictureFolder(fs::path folder)
    : folder_(std::move(folder)), unfinished_(folder_ / "evidence.part") {
  std::error_code fault;
  fs::remove_all(unfinished_, fault);
  fs::create_directories(unfinished_, fault);
  if (fault) {
    throw_fault(folder_, fault);
  }
}

PictureFolder::~PictureFolder() {
  std::error_code ignored;
  fs::remove_all(unfinished_, ignored);
}

void PictureFolder::write_map(const recording::Picture& picture) {
  write_picture(picture, unfinished_ / "regions.png");
}

void PictureFolder::write_strip(const recording::Picture& picture, const std::string& name) {
  write_picture(picture, unfinished_ / name);
}

void PictureFolder::finish() {
  const fs::path evidence = folder_ / "evidence";
  std::error_code fault;
  fs::create_directories(evidence, fault);
  if (!fault) {
    remove_strips(evidence, fault);
  }
  for (auto entry = fs::directory_iterator(unfinished_, fault);
       !fault && entry != fs::directory_iterator(); entry.increment(fault)) {
    const fs::path& file = entry->path();
    fs::rename(file, (is_strip(file) ? evidence : folder_) / file.filename(), fault);
  }
  if (fault) {
    throw_fault(folder_, fault);
  }
}

}  // namespace thumblight::onset
