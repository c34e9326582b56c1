#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <filesystem>

#include "tests/analysis/campaign_bench.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using Catch::Matchers::Contains;
using nlohmann::json;
using test::analyse;
using test::Answer;
namespace fs = std::filesystem;

namespace {

class LabelledSession {
 public:
  LabelledSession() { test::put_session(path(), test::simulated(test::four_set_ups()[0], 1)); }

  fs::path path() const { return folder_.path() / "a"; }
  fs::path setup() const { return path() / "setup.json"; }

  Answer label(std::vector<std::string> further = {}) const {
    further.insert(further.begin(), {"label", path().string()});
    return analyse(further);
  }

 private:
  test::TemporaryFolder folder_;
};

}  // namespace

TEST_CASE("label: shows the log's labels and writes nothing") {
  const LabelledSession session;
  const Answer answer = session.label();
  CHECK(answer.exit_code == 0);
  CHECK(answer.out == "connection: wired\ncontroller: Heron\ndevice: tower\ndisplay: monitor\n");
  CHECK_FALSE(fs::exists(session.setup()));
}

TEST_CASE("label: what a person writes goes over the log, and every other key stays in its place") {
  const LabelledSession session;
  test::put(session.setup(),
            R"({"zeta":[1,{"b":2.5,"a":null}],"labels":{"room":"attic"},"capture_rate_hz":240})");
  const Answer answer = session.label({"controller=Stork", "note=a=b", "room=cellar", "--quiet"});
  CHECK(answer.exit_code == 0);
  CHECK(answer.out.empty());
  const auto document = nlohmann::ordered_json::parse(test::get(session.setup()));
  CHECK(
      document.dump() ==
      R"({"zeta":[1,{"b":2.5,"a":null}],"labels":{"room":"cellar","controller":"Stork","note":"a=b"},"capture_rate_hz":240})");
  CHECK_THAT(session.label().out, Contains("controller: Stork") && Contains("note: a=b") &&
                                      Contains("connection: wired"));
  REQUIRE(analyse({"measure", session.path().string()}).exit_code == 0);
  CHECK(json::parse(test::get(session.path() / "result.json"))["labels"]["controller"] == "Stork");
}

TEST_CASE("label: removes labels, the log's too") {
  const LabelledSession session;
  REQUIRE(session.label({"room=attic"}).exit_code == 0);
  const Answer answer = session.label({"--remove", "room", "--remove", "device"});
  CHECK(answer.exit_code == 0);
  CHECK(answer.out == "connection: wired\ncontroller: Heron\ndisplay: monitor\n");
  CHECK(json::parse(test::get(session.setup())) == json::parse(R"({"labels":{"device":null}})"));
  CHECK_THAT(session.label({"--remove", "colour"}).err, Contains("has no such label"));
  REQUIRE(session.label({"device=tower"}).exit_code == 0);
  CHECK_THAT(session.label().out, Contains("device: tower"));
}

TEST_CASE("label: bad input loses nothing") {
  const LabelledSession session;
  CHECK(session.label({"controller"}).exit_code == 2);
  CHECK(session.label({"=Heron"}).exit_code == 2);
  CHECK(analyse({"label", (session.path() / "nowhere").string()}).exit_code == 1);
  CHECK(analyse({"label", session.path().parent_path().string()}).exit_code == 1);
  CHECK(session.label({"note=\xff\xfe"}).exit_code == 1);
  for (const char* text : {"{\"labels\":", "[]", R"({"labels":7})"}) {
    CAPTURE(text);
    test::put(session.setup(), text);
    CHECK(session.label({"controller=Stork"}).exit_code == 1);
    CHECK(test::get(session.setup()) == text);
  }
  test::put(session.setup(), R"({"labels":{"controller":7}})");
  CHECK_THAT(session.label().err, Contains("labels.controller"));
}
