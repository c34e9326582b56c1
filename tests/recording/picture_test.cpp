#include "analysis/recording/picture.hpp"

#include <catch2/catch.hpp>

#include "analysis/recording/frame_source.hpp"
#include "harness/session/error.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::recording;

TEST_CASE("pictures are written as files that can be read back") {
  const test::TemporaryFolder folder;
  Picture picture(40, 20);
  picture.fill(10, 5, 20, 10, {200, 200, 200});
  for (const char* name : {"a1.png", "b1.jpg"}) {
    write_picture(picture, folder.path() / name);
    const auto source = open_frames(folder.path() / name, 1);
    Frame frame;
    REQUIRE(source->next(frame));
    CHECK(frame.luma.width == 40);
    const auto at = [&](int x, int y) { return int{frame.luma.data[y * frame.luma.stride + x]}; };
    CHECK(at(20, 10) == Approx(200).margin(6));
    CHECK(at(2, 2) == Approx(0).margin(6));
  }
  CHECK_THROWS_AS(write_picture(picture, folder.path() / "none" / "a.png"), Error);
  CHECK_FALSE(std::filesystem::exists(folder.path() / "none"));
}

TEST_CASE("a full disk leaves nothing half-written") {
  CHECK_THROWS_AS(write_picture(Picture(8, 8), "/dev/full/a.png"), Error);
}

TEST_CASE("four quarter turns are none") {
  Picture picture(3, 2);
  picture.set(2, 0, {9, 8, 7});
  const Picture turned = picture.turned(90);
  CHECK(turned.width() == 2);
  CHECK(int{turned.at(1, 2).r} == 9);
  const Picture back = turned.turned(90).turned(180);
  CHECK(int{back.at(2, 0).r} == 9);
  CHECK(int{picture.turned(270).turned(90).at(2, 0).g} == 8);
}

TEST_CASE("text is drawn where it is asked for") {
  Picture picture(60, 12);
  CHECK(write_text(picture, 0, 0, 2, "-1.5 ms", {255, 255, 255}) == text_width("-1.5 ms", 2));
  int lit = 0;
  for (int x = 0; x < 60; ++x) {
    for (int y = 0; y < 12; ++y) {
      lit += picture.at(x, y).r > 0 ? 1 : 0;
    }
  }
  CHECK(lit > 60);
}
