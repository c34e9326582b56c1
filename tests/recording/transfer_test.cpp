#include "analysis/recording/transfer.hpp"

#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>

using namespace thumblight::recording;

namespace {

nlohmann::json reference(const char* table) {
  std::ifstream file(std::string(THUMBLIGHT_DATA_DIR) + "/colour.json");
  const nlohmann::json found = nlohmann::json::parse(file).at(table);
  REQUIRE_FALSE(found.empty());
  return found;
}

constexpr int kBt709 = 1;
constexpr int kSrgb = 13;
constexpr int kPq = 16;
constexpr int kHlg = 18;

}  // namespace

// Source of the tables: computed from IEC 61966-2-1 and ITU-R BT.709-6 with a reference library.
TEST_CASE("sRGB codes become the published linear light") {
  const nlohmann::json table = reference("srgb_code_to_linear");
  for (const auto& [code, light] : table.items()) {
    const double signal = code_to_signal(std::stod(code), 8, true);
    CHECK(signal_to_linear(signal, kSrgb) == Approx(light.get<double>()).margin(1e-9));
  }
}

TEST_CASE("BT.709 codes become the published linear light") {
  const nlohmann::json table = reference("bt709_inverse_oetf_code_to_linear_full");
  for (const auto& [code, light] : table.items()) {
    const double signal = code_to_signal(std::stod(code), 8, true);
    // The table uses the rounded constants 1.099 and 0.018.
    CHECK(signal_to_linear(signal, kBt709) == Approx(light.get<double>()).margin(4e-4));
  }
}

TEST_CASE("limited range spans 16 to 235, and 64 to 940 with 10 bits") {
  const nlohmann::json table = reference("limited_range_8bit_to_unit");
  for (const auto& [code, unit] : table.items()) {
    CHECK(code_to_signal(std::stod(code), 8, false) == Approx(unit.get<double>()).margin(1e-12));
    CHECK(code_to_signal(4 * std::stod(code), 10, false) ==
          Approx(unit.get<double>()).margin(1e-12));
  }
}

// ITU-R BT.2408-4, table 1: reference white is 58 % PQ = 203 cd/m², and 75 % HLG (from memory).
TEST_CASE("PQ and HLG put reference white where BT.2408 does") {
  CHECK(1e4 * pq_to_linear(0.58) == Approx(203).epsilon(0.01));
  CHECK(1e4 * pq_to_linear(0.508078) == Approx(100).epsilon(1e-3));
  CHECK(pq_to_linear(1) == Approx(1));
  CHECK(pq_to_linear(0) == Approx(0).margin(1e-9));
  CHECK(hlg_to_linear(0.5) == Approx(1.0 / 12));
  CHECK(hlg_to_linear(1) == Approx(1).epsilon(1e-5));
  CHECK(hlg_to_linear(0.75) == Approx(0.265).epsilon(2e-3));
}

TEST_CASE("every curve rises, and tables cover every code that two bytes can hold") {
  for (const int transfer : {kBt709, kSrgb, kPq, kHlg, 4, 5, 8}) {
    for (int i = 1; i <= 100; ++i) {
      CHECK(signal_to_linear(i / 100.0, transfer) > signal_to_linear((i - 1) / 100.0, transfer));
    }
  }
  Coding coding;
  coding.bit_depth = 10;
  coding.transfer = kHlg;
  const std::vector<float> table = linear_light_table(coding);
  REQUIRE(table.size() == 65536);
  CHECK(table[65535] == table[1023]);
  CHECK_FALSE(is_known_transfer(99));
}
