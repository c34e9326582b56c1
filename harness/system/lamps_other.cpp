#include "harness/session/error.hpp"
#include "harness/system/lamps.hpp"

/// For systems whose lamps nobody has taught us to switch.
namespace thumblight::harness {
namespace {

[[noreturn]] void refuse() {
  throw Error(
      "--lamp is not supported on this system, only on Linux; leave it out and use another clock "
      "link");
}

}  // namespace

std::unique_ptr<Lamp> open_led_lamp(const std::string&, const std::filesystem::path&) {
  refuse();
}

std::unique_ptr<Lamp> open_rts_lamp(const std::filesystem::path&) {
  refuse();
}

}  // namespace thumblight::harness
