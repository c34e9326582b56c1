#include "analysis/recording/sound_reader.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "harness/session/error.hpp"
#include "tests/onset/made_film.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using recording::SoundReader;

TEST_CASE("a click placed at a sample is read at that sample") {
  const test::TemporaryFolder folder;
  for (const char* name : {"click.wav", "click.flac", "click.w64"}) {
    const std::filesystem::path file = folder.path() / name;
    test::run(
        "ffmpeg -v error -y -f lavfi -i \"aevalsrc='0|if(eq(n,24001),0.5,0)':s=48000:d=1\" '" +
        file.string() + "'");
    SoundReader reader(file);
    CHECK(reader.channels() == 2);
    CHECK(reader.rate_hz() == 48000);
    SoundReader::Block block;
    std::int64_t loudest = -1;
    double loudest_s = 0;
    while (reader.next(block)) {
      for (std::size_t i = 1; i < block.samples.size(); i += 2) {
        if (block.samples[i] > 0.4F) {
          loudest = block.first + static_cast<std::int64_t>(i / 2);
          loudest_s = block.start_s + static_cast<double>(i / 2) / reader.rate_hz();
        }
      }
    }
    CHECK(loudest == 24001);
    CHECK(loudest_s == Approx(24001 / 48000.0).margin(1e-9));
  }
}

TEST_CASE("what is no sound is refused") {
  const test::TemporaryFolder folder;
  test::run("head -c 5000 /dev/urandom > '" + (folder.path() / "a.wav").string() + "'");
  CHECK_THROWS_AS(SoundReader(folder.path() / "a.wav"), Error);
  CHECK_THROWS_AS(SoundReader(folder.path() / "absent.wav"), Error);
}
