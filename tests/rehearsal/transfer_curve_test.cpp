#include "analysis/rehearsal/transfer_curve.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>

using namespace thumblight::rehearsal;

namespace {

nlohmann::json reference() {
  std::ifstream input(THUMBLIGHT_TESTS_DIR "/../data/colour.json");
  return nlohmann::json::parse(input);
}

}  // namespace

TEST_CASE("BT.709 agrees with the Recommendation") {
  // data/colour.json: computed from Rec. ITU-R BT.709-6, item 1.2, with its rounded constants; they
  // differ from the continuous ones by less than 2.5e-4.
  const nlohmann::json points = reference().at("bt709_oetf");
  REQUIRE(points.size() >= 7);
  for (const auto& [light, signal] : points.items()) {
    CHECK(bt709_signal(std::stod(light)) == Approx(signal.get<double>()).margin(3.5e-4));
  }
  const nlohmann::json codes = reference().at("bt709_inverse_oetf_code_to_linear_full");
  REQUIRE(codes.size() >= 7);
  for (const auto& [code, light] : codes.items()) {
    CHECK(luma_code(bt709_signal(light.get<double>()), 8, Range::kFull) == std::stoi(code));
  }
}

TEST_CASE("sRGB agrees with IEC 61966-2-1") {
  const nlohmann::json points = reference().at("srgb_code_to_linear");
  REQUIRE(points.size() >= 10);
  for (const auto& [code, light] : points.items()) {
    CHECK(255.0 * srgb_signal(light.get<double>()) == Approx(std::stod(code)).margin(1e-3));
  }
}

TEST_CASE("HLG agrees with BT.2100") {
  // Rec. ITU-R BT.2100-2, table 5, from memory: 1/12 gives 1/2, 1 gives 1; and BT.2408, table 1,
  // from memory: 75 % of the signal (10-bit code 721) is scene light 0.265.
  CHECK(hlg_signal(0.0) == 0.0);
  CHECK(hlg_signal(1.0 / 12.0) == Approx(0.5));
  CHECK(hlg_signal(1.0) == Approx(1.0).epsilon(1e-6));
  CHECK(hlg_signal(0.265) == Approx(0.75).margin(0.001));
  CHECK(luma_code(hlg_signal(0.265), 10, Range::kLimited) == 721);
  CHECK(hlg_signal(1.0 / 12.0 + 1e-9) == Approx(0.5).margin(1e-6));
}

TEST_CASE("PQ agrees with ST 2084") {
  // SMPTE ST 2084 / BT.2100 and BT.2408, from memory: 10 000 cd/m2 gives 1, 100 cd/m2 0.508,
  // 203 cd/m2 0.58 (10-bit code 573), 1000 cd/m2 0.752.
  CHECK(pq_signal(1.0) == Approx(1.0));
  CHECK(pq_signal(0.01) == Approx(0.5081).margin(0.0001));
  CHECK(pq_signal(0.1) == Approx(0.7518).margin(0.0001));
  CHECK(pq_signal(0.0203) == Approx(0.5807).margin(0.0005));
  CHECK(luma_code(pq_signal(0.0203), 10, Range::kLimited) == 573);
  CHECK(pq_signal(0.0) < 1e-6);
}

TEST_CASE("codes keep to their range") {
  // data/colour.json, from BT.709-6 item 3: 16 + 219 E'.
  const nlohmann::json units = reference().at("limited_range_8bit_to_unit");
  REQUIRE(units.size() >= 10);
  for (const auto& [code, unit] : units.items()) {
    if (std::stoi(code) > 0) {
      CHECK(luma_code(unit.get<double>(), 8, Range::kLimited) == std::stoi(code));
    }
  }
  CHECK(luma_code(0.0, 10, Range::kLimited) == 64);
  CHECK(luma_code(1.0, 10, Range::kLimited) == 940);
  CHECK(luma_code(1.0, 10, Range::kFull) == 1023);
  CHECK(luma_code(1.0, 8, Range::kFull) == 255);
  CHECK(luma_code(2.0, 8, Range::kFull) == 255);
  CHECK(luma_code(-1.0, 8, Range::kFull) == 0);
}

TEST_CASE("the fast way to codes equals the plain one to within a rounding") {
  for (const Curve curve : {Curve::kLinear, Curve::kBt709, Curve::kSrgb, Curve::kHlg, Curve::kPq}) {
    for (const int bits : {8, 10}) {
      CameraSettings settings;
      settings.curve = curve;
      settings.bits = bits;
      const LightCoder coder(settings);
      int different = 0;
      constexpr int kCount = 20'000;
      for (int k = 0; k <= kCount; ++k) {
        const float light = 1.2F * static_cast<float>(k) / kCount;
        std::uint16_t code = 0;
        coder.encode(&light, 1, &code);
        const int plain = luma_code(coder.signal(light), bits, Range::kLimited);
        REQUIRE(std::abs(code - plain) <= 1);
        different += code != plain ? 1 : 0;
      }
      CHECK(different < kCount / 20);
    }
  }
}

TEST_CASE("light that is negative, beyond the clip or no number has a code") {
  const LightCoder coder(CameraSettings{});
  const float light[] = {-1.0F, 0.0F, 1.0F, 100.0F, INFINITY};
  std::uint16_t codes[5];
  coder.encode(light, 5, codes);
  CHECK(codes[0] == 16);
  CHECK(codes[1] == 16);
  CHECK(codes[2] == 235);
  CHECK(codes[3] == 235);
  CHECK(codes[4] == 235);
}
