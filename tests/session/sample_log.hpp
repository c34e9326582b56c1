#pragma once

#include <string>
#include <vector>

#include "harness/session/encode.hpp"
#include "harness/session/records.hpp"

namespace thumblight::test {

inline session::Header sample_header() {
  session::Header header;
  header.started_utc = "2026-03-01T18:00:00Z";
  header.clock = "CLOCK_MONOTONIC_RAW";
  header.host = {"Linux", 4, 8192, "2.26.5", "x11", "0.1.0", "Release"};
  header.display.width = 1920;
  header.display.height = 1080;
  header.display.refresh_hz = 59.94;
  header.display.renderer = "opengl";
  header.display.vsync = true;
  header.display.measured_interval = session::Intervals{16683000, 16600000, 16700000};
  header.patch = {760, 340, 400, 400, 255, 0, 150000000, 300000000};
  header.pacing = "on-press";
  header.input.kind = "button";
  header.input.control = "pad:a";
  header.input.device = "Pad \"Ünïcode\"\n two";
  header.input.bus = "usb";
  header.input.vendor = 0x1209;
  header.labels = {{"controller", "heron"}, {"connection", "wired"}};
  return header;
}

/// One record of every kind; times beyond 2^53 show that they are not kept as doubles.
inline std::vector<session::Record> sample_records() {
  using namespace session;
  const std::int64_t base = 9007199254740993;
  return {sample_header(),
          Press{0, base, base + 200000, base + 400000, 741, "pad:a", true, ""},
          Lamp{0, true, base + 100000},
          Dark{0, base + 150000000, base + 150200000, 756},
          Press{1, base + 160000000, {}, {}, {}, "pad:a", false, "rest"},
          Exchange{base, 1.25, 1.2500625, base + 90000},
          Device{false, base + 300000000, "Pad"},
          Device{true, base + 900000000, "Pad"},
          Focus{false, base + 950000000},
          Pace{600, 2, Intervals{16683000, 16000000, 33366000}},
          Pace{2, {}, {}},
          End{2, "completed"}};
}

inline std::string sample_text() {
  std::string text;
  for (const session::Record& record : sample_records()) {
    text += session::encode(record) + '\n';
  }
  return text;
}

}  // namespace thumblight::test
