#include "analysis/timing/exchange.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <sstream>

#include "analysis/timing/exchange_table.hpp"
#include "harness/session/error.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::timing;
using Catch::Contains;

namespace {

std::vector<session::Exchange> read(const std::string& text) {
  std::istringstream input(text);
  return read_exchange_table(input, "exchange.csv");
}

std::string fault_of(const std::string& text) {
  try {
    read(text);
  } catch (const Error& error) {
    return error.what();
  }
  return "none";
}

const char* const kHeading = "t1_ns,t2_s,t3_s,t4_ns\n";

bool same(const session::Exchange& a, const session::Exchange& b) {
  return a.t1_ns == b.t1_ns && a.t2_s == b.t2_s && a.t3_s == b.t3_s && a.t4_ns == b.t4_ns;
}

}  // namespace

TEST_CASE("offset and delay of an exchange are those of RFC 5905, section 8") {
  SECTION("numbers of our own by its formulas: the same delay each way") {
    // 8 there, 8 back, 3 at the server, whose clock is 125 ahead.
    const ExchangeReading reading = read_exchange(1000, 1133, 1136, 1019);
    CHECK(reading.offset_s == 125);
    CHECK(reading.delay_s == 16);
  }
  SECTION("8 there, 20 back: off by half the difference, never beyond half the delay") {
    const ExchangeReading reading = read_exchange(1000, 1133, 1136, 1031);
    CHECK(reading.offset_s == 119);
    CHECK(reading.delay_s == 28);
    CHECK(reading.offset_s - 125 == (8 - 20) / 2.0);
    CHECK(std::abs(reading.offset_s - 125) <= reading.delay_s / 2);
  }
  SECTION("RFC errata report 5020, the verifier's note: two true clocks, 50 ms each way") {
    const ExchangeReading reading = read_exchange(0, 0.050, 0.050, 0.100);
    CHECK(reading.offset_s == Approx(0).margin(1e-15));
    CHECK(reading.delay_s == Approx(0.100));
  }
  SECTION("the sign of t3 - t2, once misprinted in RFC 2030: time at the server is no delay") {
    CHECK(read_exchange(0, 10, 70, 80).delay_s == 20);
  }
}

TEST_CASE("all of the delay on one way: the offset is off by half of it, which is the bound") {
  const ExchangeReading there = read_exchange(0, 4, 4, 4);
  CHECK(there.offset_s == there.delay_s / 2);
  const ExchangeReading back = read_exchange(0, 0, 0, 4);
  CHECK(back.offset_s == -back.delay_s / 2);
}

TEST_CASE("columns may stand in any order, beside others, with blanks, comments and line ends") {
  const std::vector<session::Exchange> expected = read(std::string(kHeading) + "1,2.5,3.5,4\n");
  REQUIRE(expected.size() == 1);
  CHECK(expected[0].t1_ns == 1);
  CHECK(expected[0].t2_s == 2.5);
  CHECK(expected[0].t3_s == 3.5);
  CHECK(expected[0].t4_ns == 4);
  for (const char* text :
       {"t4_ns,t3_s,t2_s,t1_ns\n4,3.5,2.5,1\n", "t1_ns, t2_s, t3_s, t4_ns\r\n 1, 2.5, 3.5, 4\r\n",
        "# a sensor\n\nnote,t1_ns,t2_s,t3_s,t4_ns\nfirst,1,2.5,3.5,4",
        "\"t1_ns\",\"t2_s\",\"t3_s\",\"t4_ns\"\n\"1\",\"2.5\",\"3.5\",\"4\"\n# the end\n"}) {
    CAPTURE(text);
    const std::vector<session::Exchange> exchanges = read(text);
    REQUIRE(exchanges.size() == 1);
    CHECK(same(exchanges[0], expected[0]));
  }
}

TEST_CASE("each fault of a table is one sentence with its line") {
  const std::string heading = kHeading;
  const std::string good = "1,2,3,4\n";
  CHECK_THAT(fault_of(""),
             Contains("exchange.csv: the table is empty") && Contains("t1_ns,t2_s,t3_s,t4_ns"));
  CHECK_THAT(fault_of("# only this\n\n"), Contains("the table is empty"));
  CHECK_THAT(fault_of("t1_ns,t2_s,t3_s\n1,2,3\n"), Contains("line 1: the columns"));
  CHECK_THAT(fault_of("1,2,3,4\n"), Contains("line 1: the columns"));
  CHECK_THAT(fault_of("\n# why\nt1,t2,t3,t4\n"), Contains("line 3: the columns"));
  CHECK_THAT(fault_of(heading + good + "1.5,2,3,4\n"),
             Contains("line 3: t1_ns is '1.5', not a whole number"));
  CHECK_THAT(fault_of(heading + "1,two,3,4\n"), Contains("line 2: t2_s is 'two', not a number"));
  CHECK_THAT(fault_of(heading + "1,2,,4\n"), Contains("line 2: t3_s is '', not a number"));
  CHECK_THAT(fault_of(heading + "1,2,nan,4\n"), Contains("line 2: t3_s is 'nan', not a number"));
  CHECK_THAT(fault_of(heading + "1,inf,3,4\n"), Contains("line 2: t2_s is 'inf', not a number"));
  CHECK_THAT(fault_of(heading + "1,1e999,3,4\n"), Contains("line 2: t2_s is '1e999'"));
  CHECK_THAT(fault_of(heading + "1,2,3,9223372036854775808\n"),
             Contains("line 2: t4_ns is '9223372036854775808', not a whole number"));
  CHECK_THAT(fault_of(heading + "\n\n1,2,3\n"), Contains("line 4: 3 cells where the first line"));
  // Decimal commas: without this they would be read as other numbers.
  CHECK_THAT(fault_of(heading + "1,2,5,3,5,4\n"), Contains("line 2: 6 cells where the first line"));
  CHECK_THAT(fault_of(heading + "1;2;3;4\n"), Contains("line 2: 1 cell where the first line"));
  CHECK_THAT(fault_of(heading + std::string(5000, '1') + "\n"),
             Contains("line 2: the line is too long"));
  CHECK_THAT(fault_of(heading + good + std::string("1,2\0,3,4\n", 9)), Contains("line 3: t2_s is"));
}

TEST_CASE("a table that cannot be read is told with its path") {
  const test::TemporaryFolder folder;
  CHECK_THROWS_WITH(read_exchange_table(folder.path() / "none.csv"),
                    Contains("none.csv: cannot be read as a table of exchanges"));
  CHECK_THROWS_WITH(read_exchange_table(folder.path()),
                    Contains("cannot be read as a table of exchanges"));
}

TEST_CASE("a table cut at any byte gives a named error or whole exchanges, and never more") {
  const std::string whole = std::string("# sensor 3\n") + kHeading +
                            "1000000123,12.000000500,12.000001500,1000900123\n"
                            "\n2000000123,13.000000500,13.000001500,2000900123\n";
  const std::vector<session::Exchange> all = read(whole);
  REQUIRE(all.size() == 2);
  for (std::size_t length = 0; length < whole.size(); ++length) {
    CAPTURE(length);
    std::vector<session::Exchange> some;
    try {
      some = read(whole.substr(0, length));
    } catch (const Error& error) {
      CHECK_THAT(error.what(), Contains("exchange.csv: "));
      continue;
    }
    CHECK(some.size() <= all.size());
    for (std::size_t k = 0; k + 1 < some.size(); ++k) {
      CHECK(same(some[k], all[k]));
    }
    // A last line without its end may have lost digits of t4: then the answer comes before the
    // request, and the link leaves it out.
    if (!some.empty() && !same(some.back(), all[some.size() - 1])) {
      CHECK(some.back().t4_ns < some.back().t1_ns);
    }
  }
}

TEST_CASE("an exchange whose answer comes before its request is left out and counted") {
  const Timebase base{};
  std::vector<session::Exchange> exchanges;
  for (int k = 0; k < 10; ++k) {
    const std::int64_t t1_ns = k * std::int64_t{1'000'000'000};
    exchanges.push_back({t1_ns, k + 0.25, k + 0.25, t1_ns + 2'000'000});
  }
  exchanges.push_back({5, 0.25, 0.25, 4});
  exchanges.push_back({0, 0.35, 0.30, 2'000'000});
  exchanges.push_back({0, 0.25, 0.35, 2'000'000});  // longer at the sensor than in all
  const ExchangeLink link = link_by_exchange(exchanges, base, std::nullopt);
  CHECK(link.exchanges == 13);
  CHECK(link.impossible == 3);
  CHECK(link.least_delay_s == Approx(0.002));
  CHECK(link.clock.half_width_s == Approx(0.001));
  CHECK(link.clock.offset_s == Approx(-0.249));
  CHECK_THROWS_WITH(link_by_exchange({exchanges.begin() + 10, exchanges.end()}, base, std::nullopt),
                    Contains("no exchange is possible"));
  CHECK_THROWS_WITH(link_by_exchange({}, base, std::nullopt), Contains("needs exchanges"));
}

TEST_CASE("a host that is late for every answer shifts the offset within its uncertainty") {
  // Both clocks tell the same time; the least delay is 1 ms there and none back.
  std::vector<session::Exchange> exchanges;
  for (std::int64_t k = 0; k < 400; ++k) {
    const std::int64_t late_ns = k == 200 ? 0 : 5'000'000 + k * 37 % 101 * 10'000;
    const std::int64_t t1_ns = k * 5'000'000;
    const double t2_s = static_cast<double>(t1_ns + 1'000'000) * 1e-9;
    exchanges.push_back({t1_ns, t2_s, t2_s, t1_ns + 1'000'000 + late_ns});
  }
  const LinkedClock clock = link_by_exchange(exchanges, {}, std::nullopt).clock;
  CHECK(clock.half_width_s == Approx(0.0005));
  CHECK(std::abs(clock.offset_s) > 0.001);
  CHECK(std::abs(clock.offset_s) <= clock.half_width_s + 3 * clock.u_offset_s);
}

TEST_CASE("lateness that changes from one way to the other turns the rate within its uncertainty") {
  // Both clocks tell the same time; requests are late at first, answers afterwards.
  std::vector<session::Exchange> exchanges;
  for (std::int64_t k = 0; k < 400; ++k) {
    const std::int64_t late_ns = k == 200 ? 0 : 3'000'000 + k * 37 % 101 * 1'000;
    const std::int64_t t1_ns = k * 5'000'000;
    const std::int64_t there_ns = 500'000 + (k < 200 ? late_ns : 0);
    const double t2_s = static_cast<double>(t1_ns + there_ns) * 1e-9;
    exchanges.push_back({t1_ns, t2_s, t2_s, t1_ns + 1'000'000 + late_ns});
  }
  const LinkedClock clock = link_by_exchange(exchanges, {}, std::nullopt).clock;
  CHECK(std::abs(clock.theta1) > 0.001);
  CHECK(std::abs(clock.theta1) <= 3 * clock.u_theta1);
}

TEST_CASE("one exchange ties the clocks for its moment, and its rate is anybody's guess") {
  const ExchangeLink link =
      link_by_exchange({{1'000'000'000, 0.5, 0.5, 1'002'000'000}}, {}, std::nullopt);
  CHECK(link.clock.n == 1);
  CHECK(link.clock.offset_s == Approx(0.501));
  CHECK(link.clock.theta1 == 0);
  CHECK(link.clock.u_theta1 == Approx(kLargestRateError / std::sqrt(3.0)));
}

TEST_CASE("stamps at the ends of their range crash nothing") {
  constexpr std::int64_t kLeast = std::numeric_limits<std::int64_t>::min();
  constexpr std::int64_t kMost = std::numeric_limits<std::int64_t>::max();
  const session::Exchange ordinary{0, 1, 1, 1'000'000};
  for (const session::Exchange& wild :
       {session::Exchange{kLeast, 0, 0, kMost}, session::Exchange{kMost, 0, 0, kLeast},
        session::Exchange{0, -1e308, 1e308, 1}, session::Exchange{0, 1e308, 1e308, 1}}) {
    const ExchangeLink link = link_by_exchange({ordinary, ordinary, wild}, {}, std::nullopt);
    CHECK(std::isfinite(link.clock.half_width_s));
    CHECK(link.exchanges == 3);
  }
}
