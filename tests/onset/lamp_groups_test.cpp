#include "analysis/onset/lamp_groups.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <vector>

using namespace thumblight;
using namespace thumblight::onset;

namespace {

constexpr double kFrame_s = 1.0 / 240;
constexpr int kLights = 12;

double light_s(int k) {
  return 1 + 0.9 * k + 0.01 * (k * 5 % 7);
}

/// A group that brightens `lead_s` before each light (and a few ms more or less) for `bright_s`.
StepGroup group(double lead_s, double bright_s, double height, std::vector<int> cells = {0}) {
  StepGroup made;
  made.heights.assign(cells.size(), height);
  made.cells = std::move(cells);
  for (int k = 0; k < kLights; ++k) {
    const double up_s = light_s(k) - lead_s - (lead_s > 0 ? 0.002 * (k % 5) : 0);
    made.ups.push_back({up_s, height, 1});
    made.downs.push_back({up_s + bright_s, -height, 1});
  }
  return made;
}

/// The same things happen the other way round: what moves away from there.
StepGroup reversed(StepGroup made) {
  std::swap(made.ups, made.downs);
  return made;
}

const StepGroup kPatch = group(0, 0.15, 0.7, {1, 2, 3, 4});

LampGroups find(const std::vector<StepGroup>& groups, const session::Log* log = nullptr) {
  return find_lamp_groups(groups, kPatch, kFrame_s, log);
}

}  // namespace

TEST_CASE("a lamp lights a like time before the patch, and a reflection with it") {
  const StepGroup lamp = group(0.03, 0.11, 0.4);
  const LampGroups found = find({group(0, 0.15, 0.1), lamp});
  REQUIRE(found.button);
  CHECK(found.button->ups[0].time_s == lamp.ups[0].time_s);
  CHECK_FALSE(found.host);
  CHECK_FALSE(find({group(0, 0.15, 0.1)}).button);
}

TEST_CASE("a reflection too faint to show at every light is none the less no lamp") {
  StepGroup faint = group(0, 0.15, 0.007);
  faint.ups.resize(10);
  faint.downs.resize(9);
  CHECK_FALSE(find({faint}).button);
}

TEST_CASE("what steps now and then, or at any time before the lights, is no lamp") {
  StepGroup seldom = group(0.03, 0.11, 0.02);
  seldom.ups.resize(9);
  CHECK_FALSE(find({seldom}).button);
  // A bright one that does not show at a quarter of the lights is a lamp all the same.
  StepGroup bright = group(0.03, 0.11, 0.3);
  bright.ups.resize(9);
  CHECK(find({bright}).button);
  bright.ups.resize(6);
  CHECK_FALSE(find({bright}).button);
  StepGroup any = group(0.03, 0.05, 0.02);
  for (int k = 0; k < kLights; ++k) {
    any.ups[k].time_s -= 0.05 * (k * 7 % 10);
  }
  CHECK_FALSE(find({any}).button);
}

TEST_CASE("what moves darkens one place as it brightens another, and is no lamp") {
  const StepGroup here = group(0.03, 0.14, 0.1);
  CHECK(find({here}).button);
  CHECK_FALSE(find({here, reversed(group(0.03, 0.14, 0.08))}).button);
  // Nor is a part of it that has no counterpart, while a lamp beside the finger stays one.
  const StepGroup part = group(0.034, 0.12, 0.01);
  CHECK_FALSE(find({here, reversed(group(0.03, 0.14, 0.08)), part}).button);
  const StepGroup lamp = group(0.03, 0.14, 0.6, {5, 6});
  const LampGroups found = find({lamp, here, reversed(group(0.03, 0.14, 0.08))});
  REQUIRE(found.button);
  CHECK(found.button->cells == lamp.cells);
}

TEST_CASE("the host's lamp is told by the log, and what it shines on is no lamp of the button") {
  session::Log log;
  for (int k = 0; k < kLights; ++k) {
    const auto on_ns = static_cast<std::int64_t>(1e9 * (light_s(k) - 0.015));
    log.lamps.push_back({k, true, on_ns});
    log.lamps.push_back({k, false, on_ns + 150'000'000});
  }
  const StepGroup host = group(0.015, 0.15, 0.6, {7, 8, 9});
  const StepGroup glow = group(0.015, 0.15, 0.02, {10});
  const LampGroups alone = find({host, glow}, &log);
  REQUIRE(alone.host);
  CHECK(alone.host->cells == host.cells);
  CHECK_FALSE(alone.button);
  const StepGroup button = group(0.03, 0.1, 0.3, {11});
  const LampGroups both = find({host, button, glow}, &log);
  REQUIRE(both.button);
  CHECK(both.button->cells == button.cells);
}
