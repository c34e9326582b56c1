#include <catch2/catch.hpp>

#include "tests/matrix/limits.hpp"
#include "tests/matrix/matrix.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using rehearsal::Settings;

TEST_CASE("rehearsed films are read within the promised bounds") {
  for (const test::Condition& condition : test::fast_conditions()) {
    const test::TemporaryFolder folder;
    test::RunOptions options;
    options.folder = folder.path();
    const test::Cell cell = test::run_cell(condition, options);
    INFO(condition.name);
    INFO("light: bias " << cell.light.bias_s() << " s, SD " << cell.light.sd_s() << " s, u "
                        << cell.light.film_means().front().u_s << " s");
    INFO("press: bias " << cell.press.bias_s() << " s, SD " << cell.press.sd_s() << " s, u "
                        << cell.press.film_means().front().u_s << " s");
    CHECK(cell.expected == condition.settings.press.count);
    CHECK(test::broken_promises(cell) == std::vector<std::string>{});
  }
}

TEST_CASE("where no press is to be seen none is read, whatever else stirs in the picture") {
  // A coder redraws parts of a still picture now and then; a lamp of the host's goes before the
  // light; what the patch shines on goes with it.
  Settings coarse = test::plain_settings();
  coarse.file.quality = 30;
  Settings shone_on = coarse;
  shone_on.camera.nominal_hz = 120;
  shone_on.camera.exposure_share = 0.5;
  shone_on.scene.layout = rehearsal::Layout::kSofa;
  shone_on.scene.spill = 0.04;
  Settings tied = test::plain_settings();
  tied.lamp.on_host = true;
  Settings swaying = test::plain_settings();
  swaying.scene.hand_sway = 0.01;
  swaying.scene.shake = 0.006;
  for (const Settings& settings : {coarse, shone_on, tied, swaying}) {
    const test::TemporaryFolder folder;
    test::RunOptions options;
    options.folder = folder.path();
    CHECK(test::presses_out_of_sight({"", settings}, options) == 0);
  }
}

TEST_CASE("a coverage is believed or not by how many instants speak for it") {
  CHECK(test::covers_honestly(0.96, 100));
  CHECK(test::covers_honestly(1, 24));
  CHECK_FALSE(test::covers_honestly(1, 1000));
  CHECK_FALSE(test::covers_honestly(0.8, 100));
  CHECK_FALSE(test::covers_honestly(0, 0));
  // Of three films that are wrong or right as wholes, two may be right.
  CHECK(test::covers_honestly(0.667, 3));
  CHECK_FALSE(test::covers_honestly(0.3, 3.5));
  // Normal quantiles for 0.975 and for 1 - 0.025 / 6.
  CHECK(test::allowed_shift(1) == Approx(1.959964));
  CHECK(test::allowed_shift(6) == Approx(2.638257));
}
