#pragma once

#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <random>
#include <sstream>
#include <string>
#include <vector>

#include "analysis/commands/program.hpp"
#include "analysis/onset/timings_writer.hpp"
#include "harness/session/encode.hpp"
#include "tests/analysis/simulated_session.hpp"

/// The whole program within the test, and session folders for it.
namespace thumblight::test {

struct Answer {
  int exit_code = -1;
  std::string out;
  std::string err;

  nlohmann::json json() const { return nlohmann::json::parse(out); }
};

inline Answer analyse(const std::vector<std::string>& arguments) {
  std::vector<const char*> argv = {"thumblight-analysis"};
  for (const std::string& argument : arguments) {
    argv.push_back(argument.c_str());
  }
  std::ostringstream out;
  std::ostringstream err;
  Answer answer;
  answer.exit_code = commands::run(static_cast<int>(argv.size()), argv.data(), {out, err});
  answer.out = out.str();
  answer.err = err.str();
  return answer;
}

inline void put(const std::filesystem::path& file, const std::string& text) {
  std::ofstream(file, std::ios::binary) << text;
}

inline std::string get(const std::filesystem::path& file) {
  std::ifstream stream(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(stream), {}};
}

inline std::string encode_log(const session::Log& log) {
  std::string text = session::encode(log.header) + '\n';
  for (const session::Press& press : log.presses) {
    text += session::encode(press) + '\n';
  }
  return text + session::encode(*log.end) + '\n';
}

inline SimulatedSession simulated(const Bench& bench, unsigned seed) {
  std::mt19937 random(seed);
  return observe(bench, simulate(bench, random));
}

/// Makes the folder if it is not there, and gives its name.
inline std::string put_session(const std::filesystem::path& folder,
                               const SimulatedSession& session) {
  std::filesystem::create_directories(folder);
  put(folder / "session.jsonl", encode_log(session.log));
  put(folder / "timings.json", onset::encode_timings_json(session.timings));
  return folder.string();
}

/// A folder whose timings are a table made by hand, a press a second, with these totals.
inline std::string put_totals(const std::filesystem::path& folder,
                              const std::vector<double>& totals_ms) {
  std::filesystem::create_directories(folder);
  std::ostringstream table;
  table.precision(12);
  table << "press_s,light_s\n";
  for (std::size_t k = 0; k < totals_ms.size(); ++k) {
    table << k + 1 << ',' << static_cast<double>(k + 1) + totals_ms[k] / 1e3 << '\n';
  }
  put(folder / "timings.csv", table.str());
  return folder.string();
}

/// The widest line, in characters.
inline std::size_t widest(const std::string& text) {
  std::size_t most = 0;
  std::size_t width = 0;
  for (const char c : text) {
    if (c == '\n') {
      width = 0;
    } else if ((static_cast<unsigned char>(c) & 0xC0) != 0x80) {
      most = std::max(most, ++width);
    }
  }
  return most;
}

}  // namespace thumblight::test
