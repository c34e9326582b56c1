#include "analysis/timing/scan_out.hpp"

#include <catch2/catch.hpp>
#include <fstream>
#include <limits>
#include <map>
#include <sstream>

#include "tests/session/sample_log.hpp"

using namespace thumblight;
using namespace thumblight::timing;
using Catch::Contains;

namespace {

/// Timing parameters of CTA-861 and VESA DMT formats and of VESA CVT modes, and what follows of
/// them; see tests/data/ORIGIN.md.
struct Format {
  std::string name;
  std::map<std::string, double> numbers;

  double at(const char* column) const { return numbers.at(column); }
  int whole(const char* column) const { return static_cast<int>(at(column)); }
};

std::vector<std::string> cells_of(const std::string& line) {
  std::vector<std::string> cells;
  std::istringstream stream(line);
  for (std::string cell; std::getline(stream, cell, ',');) {
    cells.push_back(cell);
  }
  return cells;
}

std::vector<Format> published_formats() {
  std::ifstream file(std::string(THUMBLIGHT_DATA_DIR) + "/misc/display_timings.csv");
  std::string line;
  REQUIRE(std::getline(file, line));
  const std::vector<std::string> columns = cells_of(line);
  std::vector<Format> formats;
  while (std::getline(file, line)) {
    const std::vector<std::string> cells = cells_of(line);
    Format format{cells.at(0), {}};
    for (std::size_t k = 1; k < cells.size(); ++k) {
      std::istringstream(cells[k]) >> format.numbers[columns.at(k)];
    }
    formats.push_back(format);
  }
  return formats;
}

/// A mode of this name and rate is listed by CTA-861 with other lines, and nothing in a log tells
/// which of the two a display was driven with.
bool is_ambiguous(const Format& format) {
  return format.name == "CVT-RB(v1) 1920x1080 120";
}

session::Header full_screen(int width, int height, double refresh_hz) {
  session::Header header = test::sample_header();
  header.display.width = width;
  header.display.height = height;
  header.display.mode_width = width;
  header.display.mode_height = height;
  header.display.refresh_hz = refresh_hz;
  header.display.fullscreen = true;
  header.display.vsync = true;
  header.patch = {0, height / 2, width / 4, height / 4, 255, 0, 0, 0};
  return header;
}

std::optional<double> to_patch_ms(const session::Header& header,
                                  const onset::RecordingInfo& recording = {}) {
  const ScanOut scan = scan_out_to_patch(header, recording, header.display.refresh_hz);
  CHECK_FALSE(scan.basis.empty());
  return scan.to_patch_s ? std::optional(*scan.to_patch_s * 1e3) : std::nullopt;
}

/// A recording in which the patch's rows lit up one after another over this time.
onset::RecordingInfo scanned_over(double scan_s) {
  onset::RecordingInfo recording;
  recording.light.emplace();
  recording.light->scan_s = scan_s;
  return recording;
}

}  // namespace

TEST_CASE("the lines of a mode are those of the published formats") {
  const std::vector<Format> formats = published_formats();
  REQUIRE(formats.size() >= 20);
  for (const Format& format : formats) {
    CAPTURE(format.name);
    const auto lines =
        scan_lines(format.whole("h_active"), format.whole("v_active"), format.at("refresh_hz"));
    REQUIRE(lines.has_value());
    CHECK(lines->active == format.whole("v_active"));
    if (is_ambiguous(format)) {
      CHECK(lines->total == 1125);
      CHECK(lines->active_share() / (1080.0 / 1144) == Approx(1).margin(0.02));
    } else {
      CHECK(lines->total == format.whole("v_total"));
    }
  }
}

TEST_CASE("the scan-out reaches a row when the published formats say so") {
  for (const Format& format : published_formats()) {
    if (is_ambiguous(format)) {
      continue;
    }
    CAPTURE(format.name);
    const int height = format.whole("v_active");
    session::Header header = full_screen(format.whole("h_active"), height, format.at("refresh_hz"));
    // At 120 Hz reduced blanking (CVT, a pause of at least 460 us) has more lines than CTA-861
    // wants, 1144 for 1125, so the prior is up to 2 % sooner. Nine digits are printed elsewhere.
    const double sooner = format.at("refresh_hz") > 100 ? 0.02 : 0;
    const auto agrees = [&](const char* column) {
      const double published_ms = format.at(column);
      const double prior_ms = *to_patch_ms(header);
      return prior_ms <= published_ms * (1 + 1e-8) &&
             prior_ms >= published_ms * (1 - sooner - 1e-8);
    };
    CHECK(agrees("row_middle_start_ms"));
    header.patch.y = height / 4;
    CHECK(agrees("row_quarter_start_ms"));
    header.patch.y = height - 1;
    header.patch.h = 1;
    CHECK(agrees("row_last_start_ms"));
    header.patch.y = 0;
    CHECK(*to_patch_ms(header) == 0);
  }
}

TEST_CASE("where the rows were seen to light up one after another, the centre counts") {
  // 1920x1080 at 60 Hz: 16 ms of 16.67 for 1080 rows (CTA-861 VIC 16), 4 ms for a patch of 270.
  const session::Header header = full_screen(1920, 1080, 60);
  CHECK(*to_patch_ms(header) == Approx(8.0));
  CHECK(*to_patch_ms(header, scanned_over(0.004)) == Approx(10.0));
  // From the bottom up: 270 rows lie below the patch.
  CHECK(*to_patch_ms(header, scanned_over(-0.004)) == Approx(4.0 + 2.0));
}

TEST_CASE("a stated share takes the place of the mode's lines") {
  const ScanOut scan = scan_out_to_patch(full_screen(1920, 1080, 60), {}, 60, 0.5);
  CHECK(*scan.to_patch_s == Approx(0.5 / 60 / 2));
  CHECK_THAT(scan.basis, Contains("as stated"));
}

TEST_CASE("without what it rests on there is no prior, and the basis says why") {
  const session::Header good = full_screen(1920, 1080, 60);
  const auto why = [](const session::Header& header, std::optional<double> refresh_hz,
                      const onset::RecordingInfo& recording = {}) {
    const ScanOut scan = scan_out_to_patch(header, recording, refresh_hz);
    CHECK_FALSE(scan.to_patch_s.has_value());
    return scan.basis;
  };
  CHECK_THAT(why(good, std::nullopt), Contains("no refresh"));
  CHECK_THAT(why(good, 0), Contains("no refresh"));
  session::Header header = good;
  header.display.vsync = false;
  CHECK_THAT(why(header, 60), Contains("without vsync"));
  header = good;
  header.display.fullscreen = false;
  CHECK_THAT(why(header, 60), Contains("in a window"));
  CHECK_THAT(why(good, 60, scanned_over(0.0005)), Contains("at once"));
  // 460 us of pause leave nothing of a refresh at 2,200 Hz.
  CHECK_THAT(why(good, 2200), Contains("none that is known"));
}

TEST_CASE("what is no mode has no lines") {
  CHECK_FALSE(scan_lines(0, 1080, 60).has_value());
  CHECK_FALSE(scan_lines(1920, 0, 60).has_value());
  CHECK_FALSE(scan_lines(1920, -1080, 60).has_value());
  CHECK_FALSE(scan_lines(1920, 1080, 0).has_value());
  CHECK_FALSE(scan_lines(1920, 1080, -60).has_value());
  CHECK_FALSE(scan_lines(1920, 1080, std::numeric_limits<double>::quiet_NaN()).has_value());
  CHECK_FALSE(scan_lines(1920, 1080, 1e9).has_value());
  CHECK_FALSE(scan_lines(1920, 1080, 1e6 / 460).has_value());
}

TEST_CASE("a patch that a log places off the screen is taken to its edge") {
  session::Header header = full_screen(1920, 1080, 60);
  header.patch.y = 100'000;
  CHECK(*to_patch_ms(header) == Approx(16.0));
  header.patch.y = -100'000;
  CHECK(*to_patch_ms(header) == 0);
}
