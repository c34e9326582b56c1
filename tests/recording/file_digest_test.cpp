#include "analysis/recording/file_digest.hpp"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "harness/session/error.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using recording::digest_of;
using recording::digest_of_file;
namespace fs = std::filesystem;

namespace {

void put(const fs::path& file, const std::string& text) {
  std::ofstream(file, std::ios::binary) << text;
}

}  // namespace

TEST_CASE("digest: the same for the same bytes, another for others") {
  const test::TemporaryFolder folder;
  const fs::path file = folder.path() / "camera.mp4";
  for (const std::size_t size : {std::size_t{0}, std::size_t{1}, (std::size_t{1} << 20U) + 17}) {
    CAPTURE(size);
    std::string text(size, 'x');
    put(file, text);
    CHECK(digest_of_file(file) == digest_of(text));
    CHECK(digest_of(text).size() == 32);
    CHECK(digest_of(text) != digest_of(text + 'x'));
    if (size > 0) {
      text.back() = 'y';
      CHECK(digest_of_file(file) != digest_of(text));
    }
  }
  CHECK_THROWS_AS(digest_of_file(folder.path() / "nowhere"), Error);
}

TEST_CASE("digest: a folder of pictures, their names and their contents") {
  const test::TemporaryFolder folder;
  put(folder.path() / "1.png", "a");
  put(folder.path() / "2.png", "b");
  const std::string before = digest_of_file(folder.path());
  CHECK(digest_of_file(folder.path()) == before);
  put(folder.path() / "2.png", "c");
  CHECK(digest_of_file(folder.path()) != before);
  put(folder.path() / "2.png", "b");
  CHECK(digest_of_file(folder.path()) == before);
  fs::rename(folder.path() / "2.png", folder.path() / "3.png");
  CHECK(digest_of_file(folder.path()) != before);
}
