#include <boost/math/distributions/binomial.hpp>
#include <catch2/catch.hpp>

#include "tests/coverage/coverage.hpp"
#include "tests/coverage/paper_like.hpp"

using namespace thumblight;
using test::Count;
using test::DeliveryBounds;
using timing::Portion;

namespace {

/// Whether a share from 93 to 97 % is believable: the exact 99.9 % interval of the share (Clopper
/// and Pearson 1934) touches the band.
bool is_believable(const Count& count) {
  using Binomial = boost::math::binomial_distribution<>;
  constexpr double kTail = 0.0005;
  return Binomial::find_lower_bound_on_p(count.n, count.covered, kTail) <= 0.97 &&
         Binomial::find_upper_bound_on_p(count.n, count.covered, kTail) >= 0.93;
}

}  // namespace

TEST_CASE("intervals hold the truth as often as they say, and bounds always") {
  const test::Coverage coverage = test::cover(240, 11);
  REQUIRE(coverage.sessions == 240);
  for (const Portion portion : timing::kPortions) {
    Count all;
    for (const auto& [link, counts] : coverage.by_link) {
      all.covered += counts[portion].covered;
      all.n += counts[portion].n;
    }
    INFO(name(portion) << ": " << all.covered << " of " << all.n);
    CHECK(all.n >= 150);
    CHECK(is_believable(all));
  }
  CHECK(coverage.contradictions == 0);
  for (const Portion portion : {Portion::kDelivery, Portion::kScreen, Portion::kDisplay}) {
    CHECK(coverage.bounds[portion].n >= 55);
    CHECK(coverage.bounds[portion].covered == coverage.bounds[portion].n);
  }
  CHECK(coverage.bounds_width_ms >= coverage.least_width_ms);
}

TEST_CASE("forty presses to 0.1 ms bound a delivery about as well as causality can") {
  // The widths are those of a calculation on paper: what the quickest press and the soonest light
  // leave, and carried over from the control polled at 1 kHz.
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    CAPTURE(seed);
    const test::PaperLike bounds = test::paper_like(seed);
    for (const DeliveryBounds& control :
         {bounds.polled_at_1_khz, bounds.polled_at_125_hz, bounds.wireless}) {
      CHECK(DeliveryBounds::holds(control.alone_ms, control.truth_ms));
      CHECK(DeliveryBounds::holds(control.carried_ms, control.truth_ms));
    }
    CHECK(DeliveryBounds::width_ms(bounds.polled_at_1_khz.alone_ms) < 0.9);
    CHECK(DeliveryBounds::width_ms(bounds.polled_at_125_hz.alone_ms) < 1.8);
    CHECK(DeliveryBounds::width_ms(bounds.wireless.alone_ms) < 7.2);
    CHECK(DeliveryBounds::width_ms(bounds.wireless.carried_ms) < 1.2);
  }
}
