#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iomanip>
#include <map>
#include <nlohmann/json.hpp>
#include <numeric>

#include "analysis/onset/timings_writer.hpp"
#include "tests/analysis/simulated_session.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using Catch::Matchers::Contains;
using nlohmann::json;
using test::Outcome;
namespace fs = std::filesystem;

namespace {

const std::vector<std::string> kPortions = {"total",  "delivery", "render",
                                            "screen", "display",  "remainder"};

void put(const fs::path& file, const std::string& text) {
  std::ofstream(file, std::ios::binary) << text;
}

json get(const fs::path& file) {
  std::ifstream stream(file, std::ios::binary);
  return json::parse(stream);
}

/// A sensor that samples a thousand times a second and whose clock loses 60 ppm on the host's.
test::Bench sensor_bench() {
  test::Bench bench;
  bench.rate = 60e-6;
  bench.frame_s = 0.001;
  return bench;
}

/// Exchanges during the session: 0.2 ms there and 0.5 ms back, and what chance adds to either.
/// `shift_s` is added to the sensor's stamps, which makes them wrong.
std::vector<session::Exchange> exchanges_of(const test::Bench& bench, double until_s,
                                            std::mt19937& random, double shift_s = 0) {
  std::exponential_distribution<double> jitter(1 / 0.0001);
  std::vector<session::Exchange> exchanges;
  for (double t1_s = 1; t1_s < until_s; t1_s += 0.25) {
    const double t2_s = t1_s + 0.0002 + jitter(random);
    const double t3_s = t2_s + 0.00003;
    const double t4_s = t3_s + 0.0005 + jitter(random);
    exchanges.push_back(
        {test::host_ns(bench, t1_s), (t2_s - bench.offset_s) / (1 + bench.rate) + shift_s,
         (t3_s - bench.offset_s) / (1 + bench.rate) + shift_s, test::host_ns(bench, t4_s)});
  }
  return exchanges;
}

std::string table_of(const std::vector<session::Exchange>& exchanges) {
  std::ostringstream text;
  text << "t1_ns,t2_s,t3_s,t4_ns\n" << std::fixed << std::setprecision(9);
  for (const session::Exchange& exchange : exchanges) {
    text << exchange.t1_ns << ',' << exchange.t2_s << ',' << exchange.t3_s << ',' << exchange.t4_ns
         << '\n';
  }
  return text.str();
}

/// The means of each portion as these presses truly were, in milliseconds.
std::map<std::string, double> true_means_ms(const std::vector<test::TruePress>& presses) {
  std::map<std::string, double> sums;
  for (const test::TruePress& press : presses) {
    sums["total"] += press.light_s - press.press_s;
    sums["delivery"] += press.arrival_s - press.press_s;
    sums["render"] += press.submit_s - press.arrival_s;
    sums["screen"] += press.light_s - press.submit_s;
    sums["display"] += press.light_s - press.arrival_s;
    sums["remainder"] += press.light_s - press.press_s - (press.submit_s - press.arrival_s);
  }
  for (auto& [portion, sum] : sums) {
    sum *= 1e3 / static_cast<double>(presses.size());
  }
  return sums;
}

/// The same of the distributions that `Bench` draws from by default.
const std::map<std::string, double> kExpected_ms = {{"total", 38},   {"delivery", 7},
                                                    {"render", 10},  {"screen", 21},
                                                    {"display", 31}, {"remainder", 28}};

/// A session folder whose truth is known, without exchanges.
class SessionFolder {
 public:
  explicit SessionFolder(unsigned seed) : bench_(sensor_bench()), random_(seed) {
    presses_ = test::simulate(bench_, random_);
    const test::SimulatedSession session = test::observe(bench_, presses_);
    put(path() / "timings.json", onset::encode_timings_json(session.timings));
    log_ = session.log;
    put_log({});
  }

  void put_log(const std::vector<session::Exchange>& exchanges) const {
    std::string text = session::encode(log_.header) + '\n';
    for (const session::Press& press : log_.presses) {
      text += session::encode(press) + '\n';
    }
    for (const session::Exchange& exchange : exchanges) {
      text += session::encode(exchange) + '\n';
    }
    put(path() / "session.jsonl", text + session::encode(*log_.end) + '\n');
  }

  std::vector<session::Exchange> exchanges(double shift_s = 0) {
    return exchanges_of(bench_, presses_.back().light_s + 1, random_, shift_s);
  }

  Outcome split(const std::vector<std::string>& more = {}) const {
    std::vector<std::string> arguments = {"split", path().string(), "--clock-link", "exchange"};
    arguments.insert(arguments.end(), more.begin(), more.end());
    return test::run_program(THUMBLIGHT_ANALYSIS_PROGRAM, arguments);
  }
  json result() const { return get(path() / "result.json"); }

  fs::path path() const { return folder_.path(); }
  const std::vector<test::TruePress>& presses() const { return presses_; }

 private:
  test::TemporaryFolder folder_;
  test::Bench bench_;
  std::mt19937 random_;
  std::vector<test::TruePress> presses_;
  session::Log log_;
};

/// Whether the portion's mean is stated, and its interval takes in the value.
bool takes_in(const json& result, const std::string& portion, double value_ms) {
  const json& interval = result["summary"][portion + "_ms"]["ci95"];
  return interval[0].get<double>() <= value_ms && value_ms <= interval[1].get<double>();
}

}  // namespace

TEST_CASE("split --link exchange: every portion's interval takes in what the presses truly were") {
  std::map<std::string, int> times_expected;
  constexpr int kSessions = 20;
  for (unsigned seed = 1; seed <= kSessions; ++seed) {
    CAPTURE(seed);
    SessionFolder folder(seed);
    put(folder.path() / "stamps.csv", table_of(folder.exchanges()));
    const Outcome outcome =
        folder.split({"--exchanges", (folder.path() / "stamps.csv").string(), "--quiet"});
    REQUIRE(outcome.exit_code == 0);
    const json result = folder.result();
    CHECK(result["clock_link"]["kind"] == "exchange");
    CHECK(result["clock_link"]["half_width_ms"].get<double>() >= 0.35);
    CHECK(result["clock_link"]["half_width_ms"].get<double>() < 0.45);
    for (const auto& [portion, mean_ms] : true_means_ms(folder.presses())) {
      CAPTURE(portion, mean_ms, result["summary"][portion + "_ms"].dump());
      CHECK(result["summary"][portion + "_ms"]["n"] == 40);
      CHECK(takes_in(result, portion, mean_ms));
      times_expected[portion] += takes_in(result, portion, kExpected_ms.at(portion)) ? 1 : 0;
    }
  }
  // 95 % of intervals should take in the mean that the presses were drawn from: 17 or more of 20
  // come with a probability of 0.984.
  for (const std::string& portion : kPortions) {
    CAPTURE(portion);
    CHECK(times_expected[portion] >= 17);
  }
}

TEST_CASE("stamps that are wrong by more than their delays give portions that are not the truth") {
  SessionFolder folder(1);
  put(folder.path() / "exchange.csv", table_of(folder.exchanges(-0.005)));
  REQUIRE(folder.split({"--quiet"}).exit_code == 0);
  const json result = folder.result();
  const std::map<std::string, double> means_ms = true_means_ms(folder.presses());
  CHECK(takes_in(result, "total", means_ms.at("total")));
  CHECK_FALSE(takes_in(result, "screen", means_ms.at("screen")));
  CHECK_FALSE(takes_in(result, "delivery", means_ms.at("delivery")));
}

TEST_CASE("exchanges may stand in a named file, beside the log, or in it") {
  SessionFolder folder(2);
  const std::vector<session::Exchange> exchanges = folder.exchanges();
  const std::string table = table_of(exchanges);
  put(folder.path() / "stamps.csv", table);
  REQUIRE(folder.split({"--exchanges", (folder.path() / "stamps.csv").string()}).exit_code == 0);
  json named = folder.result();
  put(folder.path() / "exchange.csv", table);
  REQUIRE(folder.split().exit_code == 0);
  json beside = folder.result();
  CHECK(beside["made_from"] != named["made_from"]);
  beside.erase("made_from");
  named.erase("made_from");
  CHECK(beside == named);
  fs::remove(folder.path() / "exchange.csv");
  folder.put_log(exchanges);
  REQUIRE(folder.split().exit_code == 0);
  const json logged = folder.result();
  CHECK(logged["clock_link"]["exchanges"] == exchanges.size());
  for (const std::string& portion : kPortions) {
    CHECK(logged["summary"][portion + "_ms"]["mean"].get<double>() ==
          Approx(named["summary"][portion + "_ms"]["mean"].get<double>()).margin(1e-5));
  }
}

TEST_CASE(
    "an exchange link without exchanges, or with a broken table, says so and writes nothing") {
  SessionFolder folder(3);
  const Outcome none = folder.split();
  CHECK(none.exit_code == 1);
  CHECK_THAT(none.err, Contains("needs exchanges") && Contains("exchange.csv"));
  put(folder.path() / "exchange.csv", table_of(folder.exchanges()) + "1,2,x,4\n");
  const Outcome broken = folder.split();
  CHECK(broken.exit_code == 1);
  CHECK_THAT(broken.err, Contains("exchange.csv: line ") && Contains("t3_s is 'x'"));
  CHECK(std::count(broken.err.begin(), broken.err.end(), '\n') == 1);
  const Outcome missing = folder.split({"--exchanges", "no-such-file.csv"});
  CHECK(missing.exit_code == 1);
  CHECK_THAT(missing.err, Contains("no-such-file.csv: cannot be read"));
  CHECK_FALSE(fs::exists(folder.path() / "result.json"));
}
