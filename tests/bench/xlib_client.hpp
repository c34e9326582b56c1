#pragma once

#include <string>
#include <vector>

namespace thumblight::bench {

struct ClientOptions {
  std::vector<int> window = {0, 0, 640, 480};     ///< x, y, width, height on the screen
  std::vector<int> patch = {220, 140, 200, 200};  ///< x, y, width, height in the window
  std::string key = "space";                      ///< X's name of the key
  int presses = 0;                                ///< it ends after so many
  double hold_s = 0.15;                           ///< how long the patch stays bright
  std::string out;                                ///< the CSV of arrivals, begun when ready
};

/// The yardstick: the least that any program can do between a key press and a bright patch. Bare
/// Xlib, one window, one filled rectangle. Writes `arrival_ns,flashed` for every press, stamped as
/// XNextEvent returns. Throws `Error`.
void run_client(const ClientOptions& options);

}  // namespace thumblight::bench
