#include "harness/system/host_facts.hpp"

#include <SDL.h>

#include <array>
#include <ctime>

namespace thumblight::harness {

session::Host describe_host() {
  session::Host host;
  host.platform = SDL_GetPlatform();
  host.cpus = SDL_GetCPUCount();
  host.memory_mib = SDL_GetSystemRAM();
  SDL_version version;
  SDL_GetVersion(&version);
  host.sdl_version = std::to_string(version.major) + "." + std::to_string(version.minor) + "." +
                     std::to_string(version.patch);
  if (const char* driver = SDL_GetCurrentVideoDriver()) {
    host.video_driver = driver;
  }
  host.harness_version = THUMBLIGHT_VERSION;
  host.build_type = THUMBLIGHT_BUILD_TYPE;
  return host;
}

std::string utc_now(bool compact) {
  const std::time_t now = std::time(nullptr);
  std::array<char, 32> text = {};
  std::strftime(text.data(), text.size(), compact ? "%Y%m%d-%H%M%S" : "%Y-%m-%dT%H:%M:%SZ",
                std::gmtime(&now));
  return text.data();
}

}  // namespace thumblight::harness
