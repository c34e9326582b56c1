#include "analysis/recording/sample_table.hpp"

#include <catch2/catch.hpp>
#include <fstream>

#include "harness/session/error.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using recording::SampleTable;

namespace {

std::filesystem::path written(const test::TemporaryFolder& folder, const std::string& text) {
  const std::filesystem::path file = folder.path() / "sensor.csv";
  std::ofstream(file, std::ios::binary) << text;
  return file;
}

}  // namespace

TEST_CASE("columns may come in any order, with blanks, CRLF and comments") {
  const test::TemporaryFolder folder;
  SampleTable table(written(
      folder, "# made up\r\nlight, time_s ,extra,press\r\n0.5,0,x,1\r\n\r\n0.25,0.1,x,0\r\n"));
  CHECK(table.has_light());
  CHECK(table.has_press());
  const auto first = table.next();
  REQUIRE(first);
  CHECK(first->light == 0.5);
  CHECK(first->press == 1);
  CHECK(table.next()->time_s == 0.1);
  CHECK_FALSE(table.next());
}

TEST_CASE("faults name their line") {
  const test::TemporaryFolder folder;
  const auto read_all = [&](const std::string& text) {
    SampleTable table(written(folder, text));
    while (table.next()) {
    }
  };
  using Catch::Matchers::Contains;
  CHECK_THROWS_WITH(read_all(""), Contains("empty"));
  CHECK_THROWS_WITH(read_all("a,b\n1,2\n"), Contains("time_s"));
  CHECK_THROWS_WITH(read_all("time_s,light\n0,1\n1,abc\n"),
                    Contains("line 3") && Contains("light"));
  CHECK_THROWS_WITH(read_all("time_s,light\n0,1\n0,1\n"), Contains("line 3"));
  CHECK_THROWS_WITH(read_all("time_s,light\n0,nan\n"), Contains("line 2"));
  CHECK_THROWS_WITH(read_all("time_s,light\n0\n"), Contains("line 2"));
  CHECK_NOTHROW(read_all("time_s,light\n0,1\n"));
}
