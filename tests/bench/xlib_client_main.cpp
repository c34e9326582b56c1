#include <CLI/CLI.hpp>
#include <iostream>

#include "harness/session/error.hpp"
#include "tests/bench/xlib_client.hpp"

using namespace thumblight;

namespace {

void add_options(CLI::App& app, bench::ClientOptions& options) {
  app.add_option("--window", options.window, "X,Y,W,H on the screen")->delimiter(',')->expected(4);
  app.add_option("--patch", options.patch, "X,Y,W,H in the window")->delimiter(',')->expected(4);
  app.add_option("--key", options.key, "X's name of the key");
  app.add_option("--presses", options.presses, "how many to take")->required();
  app.add_option("--hold-s", options.hold_s, "how long the patch stays bright");
  app.add_option("--out", options.out, "the CSV of arrivals, begun when ready")->required();
}

}  // namespace

int main(int count, char** arguments) {
  CLI::App app("Turns a rectangle bright at a key press and writes when the press arrived.");
  bench::ClientOptions options;
  add_options(app, options);
  try {
    app.parse(count, arguments);
    bench::run_client(options);
    return kExitGood;
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? kExitGood : kExitUsage;
  } catch (const std::exception& error) {
    std::cerr << "thumblight-xlib-client: " << error.what() << '\n';
    return kExitFailed;
  }
}
