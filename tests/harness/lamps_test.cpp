#include "harness/system/lamps.hpp"

#include <fcntl.h>
#include <stdlib.h>
#include <termios.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <fstream>

#include "harness/program.hpp"
#include "harness/session/error.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using Catch::Contains;
namespace fs = std::filesystem;

namespace {

void put(const fs::path& file, const std::string& text) {
  std::ofstream(file) << text;
}

std::string get(const fs::path& file) {
  std::ifstream stream(file);
  return {std::istreambuf_iterator<char>(stream), {}};
}

/// A folder that looks like the LED class, with one LED. `brightness` is an ordinary file here, and
/// so keeps every order that was written.
class LedClass {
 public:
  LedClass() {
    fs::create_directory(led());
    put(led() / "max_brightness", "255\n");
    put(led() / "brightness", "");
    put(led() / "trigger", "[none] timer heartbeat default-on\n");
  }

  const fs::path& path() const { return folder_.path(); }
  fs::path led() const { return path() / "green:status"; }
  std::string orders() const { return get(led() / "brightness"); }
  std::unique_ptr<harness::Lamp> open() const {
    return harness::open_led_lamp("green:status", path());
  }

 private:
  test::TemporaryFolder folder_;
};

/// Both ends of a pseudo-terminal: a terminal without the lines of a serial port.
class PseudoTerminal {
 public:
  PseudoTerminal() : master_(::posix_openpt(O_RDWR | O_NOCTTY)) {
    REQUIRE(master_ >= 0);
    REQUIRE(::grantpt(master_) == 0);
    REQUIRE(::unlockpt(master_) == 0);
  }
  ~PseudoTerminal() { ::close(master_); }
  PseudoTerminal(const PseudoTerminal&) = delete;
  PseudoTerminal& operator=(const PseudoTerminal&) = delete;

  std::string name() const { return ::ptsname(master_); }

  void hang_up_on_close() const {
    termios settings = this->settings();
    settings.c_cflag |= HUPCL;
    REQUIRE(::tcsetattr(master_, TCSANOW, &settings) == 0);
  }
  bool hangs_up_on_close() const { return (settings().c_cflag & HUPCL) != 0; }

 private:
  termios settings() const {
    termios settings = {};
    REQUIRE(::tcgetattr(master_, &settings) == 0);
    return settings;
  }

  int master_;
};

}  // namespace

TEST_CASE("an LED is switched between nothing and its full brightness, and ends dark") {
  const LedClass leds;
  {
    const auto lamp = leds.open();
    CHECK(leds.orders() == "0\n");  // tried once, without a flash
    lamp->switch_to(true);
    lamp->switch_to(false);
    lamp->switch_to(true);
    CHECK(leds.orders() == "0\n255\n0\n255\n");
  }
  CHECK(leds.orders() == "0\n255\n0\n255\n0\n");
}

TEST_CASE("an LED goes dark when something throws past it") {
  const LedClass leds;
  try {
    const auto lamp = leds.open();
    lamp->switch_to(true);
    throw Error("the screen is gone");
  } catch (const Error&) {
    CHECK(leds.orders() == "0\n255\n0\n");
  }
}

TEST_CASE("an LED's brightness may be one step, and its trigger file missing") {
  const LedClass leds;
  put(leds.led() / "max_brightness", "1\n");
  fs::remove(leds.led() / "trigger");
  leds.open()->switch_to(true);
  CHECK(leds.orders() == "0\n1\n0\n");
}

TEST_CASE("an LED that a trigger owns is refused before it is touched") {
  const LedClass leds;
  put(leds.led() / "trigger", "none timer [heartbeat] default-on\n");
  CHECK_THROWS_WITH(leds.open(), Contains("trigger: the trigger [heartbeat] owns this LED") &&
                                     Contains("write 'none'"));
  CHECK(leds.orders().empty());
}

TEST_CASE("an LED that is not there, or is none, is told with its file and a remedy") {
  const LedClass leds;
  CHECK_THROWS_WITH(harness::open_led_lamp("blue", leds.path()),
                    Contains("blue/max_brightness: holds no brightness") &&
                        Contains("ls " + leds.path().string()));
  for (const char* brightness : {"", "0\n", "-3\n", "bright\n"}) {
    put(leds.led() / "max_brightness", brightness);
    CHECK_THROWS_WITH(leds.open(), Contains("max_brightness: holds no brightness"));
  }
}

TEST_CASE("an LED that cannot be opened or written is told at the start") {
  const LedClass leds;
  fs::remove(leds.led() / "brightness");
  CHECK_THROWS_WITH(leds.open(), Contains("brightness: cannot be opened to switch the lamp"));
  fs::create_directory(leds.led() / "brightness");
  CHECK_THROWS_WITH(leds.open(), Contains("brightness: cannot be opened to switch the lamp"));
  fs::remove(leds.led() / "brightness");
  fs::create_symlink("/dev/full", leds.led() / "brightness");
  CHECK_THROWS_WITH(leds.open(), Contains("brightness: the lamp cannot be switched"));
}

TEST_CASE("an LED without the right to write names the right, where rights count") {
  const LedClass leds;
  fs::permissions(leds.led() / "brightness", fs::perms::owner_read);
  if (::access((leds.led() / "brightness").c_str(), W_OK) == 0) {
    WARN("this user may write everything; not checked");
    return;
  }
  CHECK_THROWS_WITH(leds.open(), Contains("udev rule"));
}

TEST_CASE("a terminal without the line RTS is told in one sentence, and left as it was") {
  const PseudoTerminal terminal;
  terminal.hang_up_on_close();
  CHECK_THROWS_WITH(harness::open_rts_lamp(terminal.name()),
                    Contains(terminal.name() + ": the line RTS cannot be switched") &&
                        Contains("rts:/dev/ttyUSB0"));
  CHECK(terminal.hangs_up_on_close());
}

TEST_CASE("what is no serial line is told in one sentence") {
  const test::TemporaryFolder folder;
  put(folder.path() / "plain", "");
  CHECK_THROWS_WITH(harness::open_rts_lamp(folder.path() / "plain"),
                    Contains("plain: is no serial line"));
  CHECK_THROWS_WITH(
      harness::open_rts_lamp(folder.path() / "missing"),
      Contains("missing: cannot be opened as a serial line") && Contains("plugged in"));
}

TEST_CASE("the program tells of its lamp before it opens a window or makes a folder") {
  const PseudoTerminal terminal;
  const test::TemporaryFolder folder;
  const std::string out = (folder.path() / "session").string();
  const std::string rts = "rts:" + terminal.name();
  for (const std::string& lamp : {std::string("led:no-such-lamp"), rts}) {
    const std::vector<const char*> words = {"thumblight-harness", "--out", out.c_str(), "--lamp",
                                            lamp.c_str()};
    CHECK_THROWS_AS(harness::run_program(static_cast<int>(words.size()), words.data()), Error);
    CHECK_FALSE(fs::exists(out));
  }
}
