#include "tests/analysis/exchange_rig.hpp"

#include <fcntl.h>
#include <poll.h>
#include <stdlib.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <cstdio>
#include <fstream>
#include <iomanip>
#include <stdexcept>
#include <string>

namespace thumblight::test {
namespace {

constexpr double kTurnaround_s = 50e-6;

void sleep_s(double duration_s) {
  std::this_thread::sleep_for(std::chrono::duration<double>(duration_s));
}

/// Sleeps most of the way and spins the rest, since a sleep ends late.
void wait_s(double duration_s) {
  constexpr double kSpin_s = 100e-6;
  const std::int64_t end_ns = raw_now_ns() + static_cast<std::int64_t>(duration_s * 1e9);
  if (duration_s > kSpin_s) {
    sleep_s(duration_s - kSpin_s);
  }
  while (raw_now_ns() < end_ns) {
  }
}

void make_raw(int terminal) {
  termios settings = {};
  ::tcgetattr(terminal, &settings);
  ::cfmakeraw(&settings);
  ::tcsetattr(terminal, TCSANOW, &settings);
}

/// One byte; -1 at the line's end and if none comes within ten seconds.
int next_byte(int terminal) {
  pollfd ready = {terminal, POLLIN, 0};
  unsigned char byte = 0;
  if (::poll(&ready, 1, 10'000) != 1 || ::read(terminal, &byte, 1) != 1) {
    return -1;
  }
  return byte;
}

void put_line(int terminal, const std::string& text) {
  if (::write(terminal, text.data(), text.size()) != static_cast<ssize_t>(text.size())) {
    throw std::runtime_error("the pseudo-terminal takes no more");
  }
}

}  // namespace

std::int64_t raw_now_ns() {
  timespec now = {};
  ::clock_gettime(CLOCK_MONOTONIC_RAW, &now);
  return std::int64_t{now.tv_sec} * 1'000'000'000 + now.tv_nsec;
}

Sensor::Sensor(const SensorClock& clock, const LineDelays& delays, unsigned seed)
    : clock_(clock), delays_(delays), random_(seed) {
  sensor_end_ = ::posix_openpt(O_RDWR | O_NOCTTY);
  if (sensor_end_ < 0 || ::grantpt(sensor_end_) != 0 || ::unlockpt(sensor_end_) != 0) {
    throw std::runtime_error("no pseudo-terminal can be had");
  }
  host_end_ = ::open(::ptsname(sensor_end_), O_RDWR | O_NOCTTY);
  if (host_end_ < 0) {
    throw std::runtime_error("the pseudo-terminal's other end cannot be opened");
  }
  make_raw(host_end_);
  thread_ = std::thread([this] { serve(); });
}

Sensor::~Sensor() {
  ::close(host_end_);  // ends the sensor's reading
  thread_.join();
  ::close(sensor_end_);
}

void Sensor::serve() {
  while (next_byte(sensor_end_) == '?') {
    answer();
  }
}

void Sensor::answer() {
  std::exponential_distribution<double> jitter(1);
  wait_s(delays_.there_s + delays_.jitter_s * jitter(random_));
  const double t2_s = clock_.at(raw_now_ns());
  wait_s(kTurnaround_s);
  const double t3_s = clock_.at(raw_now_ns());
  wait_s(delays_.back_s + delays_.jitter_s * jitter(random_));
  std::array<char, 64> text = {};
  std::snprintf(text.data(), text.size(), "%.9f %.9f\n", t2_s, t3_s);
  put_line(sensor_end_, text.data());
}

session::Exchange Sensor::ask() const {
  session::Exchange exchange;
  exchange.t1_ns = raw_now_ns();
  put_line(host_end_, "?");
  std::string line;
  for (int byte = next_byte(host_end_); byte != '\n'; byte = next_byte(host_end_)) {
    if (byte < 0) {
      throw std::runtime_error("the sensor does not answer");
    }
    line.push_back(static_cast<char>(byte));
  }
  exchange.t4_ns = raw_now_ns();
  if (std::sscanf(line.c_str(), "%lf %lf", &exchange.t2_s, &exchange.t3_s) != 2) {
    throw std::runtime_error("the sensor answers '" + line + "'");
  }
  return exchange;
}

std::vector<session::Exchange> Sensor::exchange(std::size_t count) {
  std::minstd_rand random(7);
  std::uniform_real_distribution<double> pause_s(0.0005, 0.003);
  std::vector<session::Exchange> exchanges;
  for (std::size_t k = 0; k < count; ++k) {
    exchanges.push_back(ask());
    sleep_s(pause_s(random));
  }
  return exchanges;
}

void write_exchange_table(const std::vector<session::Exchange>& exchanges,
                          const std::filesystem::path& file) {
  std::ofstream table(file);
  table << "t1_ns,t2_s,t3_s,t4_ns\n" << std::fixed << std::setprecision(9);
  for (const session::Exchange& exchange : exchanges) {
    table << exchange.t1_ns << ',' << exchange.t2_s << ',' << exchange.t3_s << ',' << exchange.t4_ns
          << '\n';
  }
}

}  // namespace thumblight::test
