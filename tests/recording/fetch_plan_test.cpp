#include "analysis/recording/fetch_plan.hpp"

#include <catch2/catch.hpp>

using namespace thumblight::recording;

namespace {

/// The frames in the order in which they are wished for, each of them held once it is wished for.
std::vector<std::int64_t> wishes(FrameCache& cache, const Neighbourhood& near, const Reach& reach) {
  std::vector<std::int64_t> order;
  while (const std::optional<Wish> wish = next_wish(cache, near, reach)) {
    order.push_back(wish->frame);
    cache.keep(wish->frame, nullptr, near);
  }
  return order;
}

}  // namespace

TEST_CASE("the place comes first with what lies just before it, then behind, ahead, elsewhere") {
  const Reach reach = {2, 8, 4, 1};
  FrameCache cache(100);
  const Neighbourhood near = neighbourhood(50, {80}, reach, 1000);
  CHECK(wishes(cache, near, reach) ==
        std::vector<std::int64_t>{48, 49, 50, 47, 46, 51, 52, 79, 80, 81});
  CHECK(next_wish(FrameCache(100), near, reach)->urgent);
}

TEST_CASE("half of what is behind may be used up before more is fetched, and all at the start") {
  const Reach reach = {2, 8, 4, 0};
  FrameCache cache(100);
  const Neighbourhood near = neighbourhood(3, {}, reach, 6);
  CHECK(wishes(cache, near, reach) == std::vector<std::int64_t>{1, 2, 3, 0, 4, 5});
  CHECK(wishes(cache, neighbourhood(5, {}, reach, 6), reach).empty());
  CHECK(neighbourhood(0, {5}, {2, 8, 4, 3}, 6).elsewhere[0].last == 5);
}

TEST_CASE("what may be kept leaves room for the places that may be next") {
  for (const std::int64_t most : {24, 100, 157, 2048}) {
    const Reach reach = reach_for(most);
    CHECK(reach.near <= reach.behind / 2);
    CHECK(reach.behind + 1 + reach.ahead + 2 * (2 * reach.elsewhere + 1) <= most);
  }
}

TEST_CASE("the frame that goes lies outside the neighbourhood, or is the farthest") {
  FrameCache cache(3);
  const Neighbourhood near = neighbourhood(10, {40}, {1, 2, 2, 1}, 100);
  for (const std::int64_t frame : {10, 14, 40, 9}) {
    cache.keep(frame, nullptr, near);
  }
  CHECK_FALSE(cache.holds(14));
  CHECK(cache.holds(40));
  cache.keep(11, nullptr, near);
  CHECK_FALSE(cache.holds(40));
  CHECK(cache.run_before(11, 9) == 2);
  CHECK(cache.run_after(9, 1) == 1);
}
