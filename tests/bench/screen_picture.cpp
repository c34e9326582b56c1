#include "tests/bench/screen_picture.hpp"

#include <cstdio>

#include "harness/session/error.hpp"

namespace thumblight::bench {

void shoot(const VirtualDisplay& display, const std::filesystem::path& png) {
  const std::filesystem::path copy = png.string() + ".xwd";
  std::filesystem::copy_file(display.screen_file(), copy,
                             std::filesystem::copy_options::overwrite_existing);
  ChildPlan plan;
  plan.program = "convert";
  plan.arguments = {"xwd:" + copy.string(), "png:" + png.string()};
  if (run_program(plan, 60) != 0) {
    throw Error("'convert' could not make '" + png.string() + "' of the screen");
  }
  std::filesystem::remove(copy);
  std::printf("%s\n", png.c_str());
  std::fflush(stdout);
}

}  // namespace thumblight::bench
