#include "analysis/marks/blind_order.hpp"

#include <catch2/catch.hpp>
#include <map>
#include <set>

#include "analysis/marks/session_marks.hpp"
#include "harness/session/error.hpp"
#include "tests/marks/made_marks.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace thumblight;
using namespace thumblight::marks;
using Catch::Matchers::Contains;

namespace {

std::vector<std::int64_t> upto(std::int64_t n) {
  std::vector<std::int64_t> indices;
  for (std::int64_t k = 0; k < n; ++k) {
    indices.push_back(k);
  }
  return indices;
}

/// The order as folder and index.
std::vector<std::pair<std::string, std::int64_t>> named(const BlindOrder& order,
                                                        const std::vector<BlindSession>& sessions) {
  std::vector<std::pair<std::string, std::int64_t>> list;
  for (std::size_t k = 0; k < order.size(); ++k) {
    const BlindPress& press = order.at(k);
    list.emplace_back(sessions[press.session].folder.filename().string(), press.index);
  }
  return list;
}

}  // namespace

TEST_CASE("every press of every session is there once, in an order that the seed gives") {
  const std::vector<BlindSession> sessions = {
      {"/c/wired", upto(30)}, {"/c/wireless", upto(20)}, {"/c/empty", {}}, {"/c/odd", {5, 99}}};
  const BlindOrder order(sessions, 7);
  CHECK(order.size() == 52);
  CHECK(order.seed() == 7);
  const auto list = named(order, sessions);
  CHECK(std::set(list.begin(), list.end()).size() == 52);
  CHECK(list == named(BlindOrder(sessions, 7), sessions));
  CHECK(list != named(BlindOrder(sessions, 8), sessions));
}

TEST_CASE("the order does not depend on how the sessions are named on the command line") {
  const std::vector<BlindSession> one = {{"/c/a", upto(9)}, {"/c/b", upto(9)}, {"/c/d", {3, 1, 2}}};
  const std::vector<BlindSession> other = {
      {"/elsewhere/d/", {1, 2, 3}}, {"/elsewhere/./b", upto(9)}, {"/elsewhere/a", upto(9)}};
  CHECK(named(BlindOrder(one, 3), one) == [&] {
    auto list = named(BlindOrder(other, 3), other);
    for (auto& [folder, index] : list) {
      folder = folder.empty() ? "d" : folder;
    }
    return list;
  }());
}

TEST_CASE("the sessions are well mixed") {
  const std::vector<BlindSession> sessions = {{"/c/a", upto(100)}, {"/c/b", upto(100)}};
  // Runs of one session in 200 mixed presses: 101 in the mean, standard deviation 7.0 (Wald and
  // Wolfowitz 1940: 2 n m / (n + m) + 1 and its variance; from memory).
  double sum = 0;
  constexpr int kSeeds = 50;
  for (unsigned seed = 0; seed < kSeeds; ++seed) {
    const BlindOrder order(sessions, seed);
    int runs = 1;
    for (std::size_t k = 1; k < order.size(); ++k) {
      runs += order.at(k).session != order.at(k - 1).session ? 1 : 0;
    }
    sum += runs;
  }
  CHECK(std::abs(sum / kSeeds - 101) < 4 * 7.04 / std::sqrt(double{kSeeds}));
}

TEST_CASE("what is shown of a press names neither its session nor its index") {
  const std::vector<BlindSession> sessions = {{"/c/wired", {41}}, {"/c/wireless", {42}}};
  const BlindOrder order(sessions, 1);
  CHECK(order.title(0) == "press 1 of 2");
  CHECK(order.title(1) == "press 2 of 2");
}

TEST_CASE("marks made blind go into the sessions that their presses are of") {
  const test::TemporaryFolder folder;
  std::vector<BlindSession> sessions;
  for (const char* name : {"b", "a"}) {
    std::filesystem::create_directory(folder.path() / name);
    sessions.push_back({folder.path() / name, upto(5)});
  }
  const onset::Timings found = test::found_timings();
  const BlindOrder order(sessions, 11);
  {
    SessionMarks b(sessions[0].folder, found);
    SessionMarks a(sessions[1].folder, found);
    for (std::size_t k = 0; k < order.size(); ++k) {
      const BlindPress& press = order.at(k);
      const double t_s = 1.01 + static_cast<double>(press.index);
      (press.session == 0 ? b : a).mark(press.index, What::kPress, {t_s, 1.0 / 240, {}});
    }
  }
  for (const BlindSession& session : sessions) {
    const SessionMarks marks(session.folder, found);
    CHECK(marks.set().presses().size() == 5);
    for (const auto& [index, press] : marks.set().presses()) {
      CHECK(press.press.at(1).t_s == Approx(1.01 + static_cast<double>(index)));
    }
  }
}

TEST_CASE("a session named twice, and none") {
  CHECK_THROWS_WITH(BlindOrder({{"/c/a", upto(2)}, {"/c/./a/", upto(2)}}, 1),
                    Contains("named twice"));
  CHECK_THROWS_WITH(BlindOrder({{"/c/a", {1, 1}}}, 1), Contains("twice"));
  CHECK(BlindOrder({}, 1).size() == 0);
  CHECK(BlindOrder({{"/c/a", {4}}}, 1).at(0).index == 4);
}
