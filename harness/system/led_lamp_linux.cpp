#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <fstream>
#include <system_error>

#include "harness/session/error.hpp"
#include "harness/system/lamps.hpp"

/// Files of an LED: Documentation/leds/leds-class.rst of the Linux kernel.
namespace thumblight::harness {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void fail(const fs::path& file, const std::string& what) {
  const int cause = errno;
  const bool forbidden = cause == EACCES || cause == EPERM;
  throw Error(file.string() + ": " + what + ": " + std::generic_category().message(cause) + "; " +
              (forbidden ? "give yourself the right to write it (a udev rule, or the group that "
                           "owns it), or leave --lamp out"
                         : "check the name, 'ls " + file.parent_path().parent_path().string() +
                               "' lists the LEDs"));
}

/// The largest brightness, as the file says it.
std::string full_brightness(const fs::path& led) {
  const fs::path file = led / "max_brightness";
  std::ifstream stream(file);
  long brightness = 0;
  if (!(stream >> brightness) || brightness <= 0) {
    throw Error(file.string() +
                ": holds no brightness, so there is no LED to switch; check the "
                "name, 'ls " +
                led.parent_path().string() + "' lists the LEDs");
  }
  return std::to_string(brightness);
}

/// The trigger that is in force stands in brackets among all there are.
void require_no_trigger(const fs::path& led) {
  const fs::path file = led / "trigger";
  std::ifstream stream(file);
  for (std::string word; stream >> word;) {
    if (word.front() == '[' && word != "[none]") {
      throw Error(file.string() + ": the trigger " + word + " owns this LED; write 'none' into " +
                  "that file, or name another LED");
    }
  }
}

class LedLamp : public Lamp {
 public:
  explicit LedLamp(const fs::path& led)
      : file_(led / "brightness"), on_(full_brightness(led) + "\n") {
    require_no_trigger(led);
    descriptor_ = ::open(file_.c_str(), O_WRONLY | O_CLOEXEC);
    if (descriptor_ < 0) {
      fail(file_, "cannot be opened to switch the lamp");
    }
    try {
      switch_to(false);
    } catch (const Error&) {
      ::close(descriptor_);
      throw;
    }
  }
  ~LedLamp() override {
    static_cast<void>(put(off_));
    ::close(descriptor_);
  }
  LedLamp(const LedLamp&) = delete;
  LedLamp& operator=(const LedLamp&) = delete;

  void switch_to(bool on) override {
    if (!put(on ? on_ : off_)) {
      fail(file_, "the lamp cannot be switched");
    }
  }

 private:
  /// One write is one order, whatever the place in the file.
  bool put(const std::string& text) const {
    ssize_t written = -1;
    do {
      written = ::write(descriptor_, text.data(), text.size());
    } while (written < 0 && errno == EINTR);
    return written == static_cast<ssize_t>(text.size());
  }

  fs::path file_;
  std::string on_;
  std::string off_ = "0\n";
  int descriptor_ = -1;
};

}  // namespace

std::unique_ptr<Lamp> open_led_lamp(const std::string& name, const fs::path& class_folder) {
  return std::make_unique<LedLamp>(class_folder / name);
}

}  // namespace thumblight::harness
