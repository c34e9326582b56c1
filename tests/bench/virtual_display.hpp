#pragma once

#include <filesystem>
#include <memory>
#include <string>

#include "tests/bench/child_process.hpp"
#include "tests/bench/framebuffer.hpp"
#include "tests/support/temporary_folder.hpp"

namespace thumblight::bench {

struct Size {
  int width = 1920;
  int height = 1080;
};

/// Such as "1920x1080".
std::string text_of(Size size);

/// An Xvfb of its own, whose screen can be watched in memory. Answers once it is constructed.
/// The server picks a free display number, so any number of these run side by side.
class VirtualDisplay {
 public:
  /// Throws `Error` if Xvfb is missing or does not answer.
  explicit VirtualDisplay(Size size);

  /// The value for DISPLAY, such as ":5".
  const std::string& name() const { return name_; }
  const Framebuffer& screen() const { return *screen_; }
  /// The file that holds the screen, an X window dump at any moment.
  std::filesystem::path screen_file() const;

 private:
  test::TemporaryFolder folder_;
  std::unique_ptr<ChildProcess> server_;
  std::string name_;
  std::unique_ptr<Framebuffer> screen_;
};

}  // namespace thumblight::bench
