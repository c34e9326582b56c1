#include <catch2/catch.hpp>

#include "harness/session/error.hpp"
#include "harness/system/lamps.hpp"

using namespace thumblight;

TEST_CASE("a system whose lamps are not known refuses in one sentence") {
  for (const char* lamp : {"led:green", "rts:COM3"}) {
    CHECK_THROWS_WITH(harness::open_lamp(*harness::lamp_choice_of(lamp)),
                      Catch::Contains("--lamp is not supported on this system"));
  }
}
