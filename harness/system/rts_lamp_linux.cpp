#include <fcntl.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>

#include "harness/session/error.hpp"
#include "harness/system/lamps.hpp"

namespace thumblight::harness {
namespace {

namespace fs = std::filesystem;

std::string line_remedy(int cause) {
  switch (cause) {
    case EACCES:
    case EPERM:
      return "join the group that owns it (often dialout), or add a udev rule";
    case ENOTTY:
    case EINVAL:
      return "name a serial port or adapter that has the line RTS, like rts:/dev/ttyUSB0";
    default:
      return "check the path, and that the adapter is plugged in";
  }
}

[[noreturn]] void fail_line(const fs::path& device, const std::string& what) {
  const int cause = errno;
  throw Error(device.string() + ": " + what + ": " + std::generic_category().message(cause) + "; " +
              line_remedy(cause));
}

class RtsLamp : public Lamp {
 public:
  explicit RtsLamp(fs::path device) : device_(std::move(device)) {
    // Neither our terminal, nor waiting for a carrier.
    descriptor_ = ::open(device_.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    if (descriptor_ < 0) {
      fail_line(device_, "cannot be opened as a serial line");
    }
    try {
      require_terminal();
      switch_to(false);  // opening raises RTS
      keep_lines_at_close();
    } catch (const Error&) {
      ::close(descriptor_);
      throw;
    }
  }
  ~RtsLamp() override {
    static_cast<void>(set_rts(false));
    ::close(descriptor_);
  }
  RtsLamp(const RtsLamp&) = delete;
  RtsLamp& operator=(const RtsLamp&) = delete;

  void switch_to(bool on) override {
    if (!set_rts(on)) {
      fail_line(device_, "the line RTS cannot be switched");
    }
  }

 private:
  void require_terminal() const {
    if (::isatty(descriptor_) == 0) {
      fail_line(device_, "is no serial line");
    }
  }

  void keep_lines_at_close() const {
    termios settings = {};
    if (::tcgetattr(descriptor_, &settings) != 0) {
      fail_line(device_, "its settings cannot be read");
    }
    settings.c_cflag &= ~static_cast<tcflag_t>(HUPCL);
    if (::tcsetattr(descriptor_, TCSANOW, &settings) != 0) {
      fail_line(device_, "cannot be set up");
    }
  }

  bool set_rts(bool on) const {
    const int line = TIOCM_RTS;
    return ::ioctl(descriptor_, on ? TIOCMBIS : TIOCMBIC, &line) == 0;
  }

  fs::path device_;
  int descriptor_ = -1;
};

}  // namespace

std::unique_ptr<Lamp> open_rts_lamp(const fs::path& device) {
  return std::make_unique<RtsLamp>(device);
}

}  // namespace thumblight::harness
