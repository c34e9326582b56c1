#include "tests/coverage/paper_like.hpp"

#include <random>
#include <vector>

#include "analysis/report/carried_screen.hpp"
#include "tests/coverage/observed_session.hpp"

namespace thumblight::test {
namespace {

using rehearsal::DeliveryModel;
using rehearsal::DeliverySettings;
using rehearsal::Settings;
using timing::ClockLinkKind;
using timing::Portion;

struct Session {
  report::ComparedSession compared;
  double truth_ms = 0;
};

Session observe_paper_like(const DeliverySettings& delivery, std::mt19937_64& random) {
  Settings settings;
  settings.seed = random();
  settings.press.count = 40;
  settings.delivery = delivery;
  settings.host.return_min_s = 0;
  settings.host.return_max_s = 0.00005;
  settings.host.theta1 = std::uniform_real_distribution<double>(-1e-4, 1e-4)(random);
  const rehearsal::Truth truth = rehearsal::make_truth(settings);
  ObservedSession seen =
      observe(truth, ClockLinkKind::kCausality, {"to 0.1 ms", 0, 0.0001, 0}, random);
  // The film showed the rows light up one after another, so the light is that of the centre.
  onset::LightInfo light;
  light.scan_s =
      settings.display.patch_h * settings.display.scanout_share / settings.display.refresh_hz;
  seen.timings.recording.light = light;
  seen.basis.scan_out_share = settings.display.scanout_share;
  Session session;
  session.compared.header = seen.log.header;
  session.compared.result = report::make_result(
      timing::split_presses(seen.timings, &seen.log, seen.basis), seen.timings, &seen.log);
  session.truth_ms =
      true_means_ms(truth, session.compared.result.split.flip_how)[Portion::kDelivery];
  return session;
}

DeliveryBounds bounds_of(const std::vector<report::ComparedSession>& sessions, std::size_t place,
                         double truth_ms) {
  DeliveryBounds bounds;
  bounds.truth_ms = truth_ms;
  bounds.alone_ms = sessions[place].result.portions[Portion::kDelivery].mean_bounds.value();
  for (const report::ScreenGroup& group : report::share_screens(sessions)) {
    for (const report::CarriedPortions& carried : group.carried) {
      if (carried.session == place) {
        bounds.carried_ms = carried.delivery_ms;
      }
    }
  }
  return bounds;
}

}  // namespace

PaperLike paper_like(std::uint64_t seed) {
  std::mt19937_64 random(seed);
  DeliverySettings wireless;
  wireless.model = DeliveryModel::kWireless;
  wireless.base_s = 0.0015;
  wireless.interval_s = 0.004;
  const std::vector<Session> seen = {
      observe_paper_like({DeliveryModel::kPolling, 0.0001, 0.001}, random),
      observe_paper_like({DeliveryModel::kPolling, 0.0001, 0.008}, random),
      observe_paper_like(wireless, random)};
  std::vector<report::ComparedSession> sessions;
  for (const Session& session : seen) {
    sessions.push_back(session.compared);
  }
  return {bounds_of(sessions, 0, seen[0].truth_ms), bounds_of(sessions, 1, seen[1].truth_ms),
          bounds_of(sessions, 2, seen[2].truth_ms)};
}

}  // namespace thumblight::test
