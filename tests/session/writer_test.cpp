#include "harness/session/writer.hpp"

#include <catch2/catch.hpp>
#include <fstream>

#include "harness/session/error.hpp"
#include "harness/session/reader.hpp"
#include "tests/session/sample_log.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using Catch::Matchers::Contains;

namespace {

/// A disk that is full after so many bytes.
class FullDisk : public session::AppendFile {
 public:
  FullDisk(std::size_t room, std::string& kept) : room_(room), kept_(kept) {}
  void append(std::string_view bytes) override {
    if (kept_.size() + bytes.size() > room_) {
      throw Error("session.jsonl: cannot be written further: No space left on device");
    }
    kept_ += bytes;
  }

 private:
  std::size_t room_;
  std::string& kept_;
};

}  // namespace

TEST_CASE("the writer puts records into a file in order") {
  const test::TemporaryFolder folder;
  const auto file = folder.path() / "session.jsonl";
  {
    session::Writer writer(session::create_append_file(file));
    for (const session::Record& record : test::sample_records()) {
      writer.write(record);
    }
    writer.finish();
  }
  std::ifstream input(file);
  const std::string text((std::istreambuf_iterator<char>(input)), {});
  CHECK(text == test::sample_text());
}

TEST_CASE("a writer that is dropped still writes what it was given") {
  const test::TemporaryFolder folder;
  const auto file = folder.path() / "session.jsonl";
  { session::Writer(session::create_append_file(file)).write(test::sample_header()); }
  CHECK(session::read_log(file).header.pacing == "on-press");
}

TEST_CASE("a log is never written over") {
  const test::TemporaryFolder folder;
  const auto file = folder.path() / "session.jsonl";
  { std::ofstream(file) << "precious"; }
  CHECK_THROWS_WITH(session::create_append_file(file), Contains("cannot be made"));
  std::ifstream input(file);
  std::string text;
  input >> text;
  CHECK(text == "precious");
}

TEST_CASE("a full disk is told at the next record, and what was written stays readable") {
  std::string kept;
  session::Writer writer(std::make_unique<FullDisk>(test::sample_text().size() - 20, kept));
  for (const session::Record& record : test::sample_records()) {
    writer.write(record);
  }
  CHECK_THROWS_WITH(writer.finish(), Contains("No space left"));
  CHECK_THROWS_WITH(writer.write(test::sample_header()), Contains("No space left"));
  std::istringstream input(kept);
  CHECK(session::read_log(input, "kept").presses.size() == 2);
}
