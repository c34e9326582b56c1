#include "analysis/rehearsal/log.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/rehearsal/random.hpp"
#include "analysis/rehearsal/settings_json.hpp"
#include "harness/session/writer.hpp"

namespace thumblight::rehearsal {

namespace {

std::int64_t to_ns(double time_s) {
  return std::llround(time_s * 1e9);
}

int to_pixels(double share, int size) {
  return static_cast<int>(std::lround(share * size));
}

session::Header make_header(const Truth& truth) {
  const DisplaySettings& display = truth.settings.display;
  session::Header header;
  header.started_utc = "2026-03-01T18:00:00Z";
  header.clock = "CLOCK_MONOTONIC_RAW";
  header.host.platform = "rehearsal";
  header.host.harness_version = THUMBLIGHT_VERSION;
  header.display.width = header.display.mode_width = display.width;
  header.display.height = header.display.mode_height = display.height;
  header.display.refresh_hz = display.refresh_hz;
  header.display.renderer = "rehearsal";
  header.display.vsync = truth.settings.host.vsync;
  header.patch = {to_pixels(display.patch_x, display.width),
                  to_pixels(display.patch_y, display.height),
                  to_pixels(display.patch_w, display.width),
                  to_pixels(display.patch_h, display.height),
                  255,
                  0,
                  to_ns(truth.settings.host.hold_s),
                  to_ns(truth.settings.host.rest_s)};
  header.pacing = name_of(truth.settings.host.pacing);
  header.input.kind = "button";
  header.input.control = "pad:a";
  header.input.device = "Rehearsal pad";
  header.input.bus = "virtual";
  header.input.waiting = "polling";
  header.labels = truth.settings.setup.labels;
  return header;
}

session::Press press_record(const PressTruth& press, std::int64_t dark_submit_ns) {
  session::Press record;
  record.index = press.index;
  record.arrival_ns = press.arrival.host_ns;
  record.control = "pad:a";
  record.flashed = press.flash.has_value();
  if (press.flash) {
    record.submit_ns = press.flash->submit.host_ns;
    record.present_ns = press.flash->present.host_ns;
    record.frame = press.flash->frame;
  } else {
    record.withheld = press.arrival.host_ns < dark_submit_ns ? "lit" : "rest";
  }
  return record;
}

/// A record and when the harness came to write it.
struct Entry {
  std::int64_t at_ns = 0;
  session::Record record;
};

void add_press(const PressTruth& press, std::int64_t& dark_submit_ns, std::vector<Entry>& entries) {
  const session::Press record = press_record(press, dark_submit_ns);
  entries.push_back({record.present_ns.value_or(record.arrival_ns), record});
  if (!press.flash) {
    return;
  }
  const Flash& flash = *press.flash;
  dark_submit_ns = flash.dark_submit.host_ns;
  if (press.lamp) {
    const std::int64_t on_ns = press.lamp->switched_on.host_ns;
    const std::int64_t off_ns = press.lamp->switched_off.host_ns;
    entries.push_back({flash.present.host_ns, session::Lamp{press.index, true, on_ns}});
    entries.push_back({flash.dark_present.host_ns, session::Lamp{press.index, false, off_ns}});
  }
  entries.push_back(
      {flash.dark_present.host_ns, session::Dark{press.index, flash.dark_submit.host_ns,
                                                 flash.dark_present.host_ns, flash.dark_frame}});
}

/// Request and answer between host and sensor, spread evenly over the recording.
void add_exchanges(const Truth& truth, std::vector<Entry>& entries) {
  const SensorSettings& sensor = truth.settings.sensor;
  Random random(truth.settings.seed, Stream::kExchange);
  const auto way_s = [&] {
    return sensor.exchange_min_s + random.gamma(1.0, sensor.exchange_mean_s);
  };
  const ClockPair& clocks = truth.clocks;
  for (std::int64_t k = 0; k < sensor.exchanges; ++k) {
    const double sent_s =
        truth.end_s * (static_cast<double>(k) + 0.5) / static_cast<double>(sensor.exchanges);
    const std::int64_t t1_ns = clocks.host_ns(clocks.bench_s(sent_s));
    const double received_s = clocks.bench_from_host_s(t1_ns) + way_s();
    const double answered_s = received_s + 0.00002;
    const std::int64_t t4_ns = clocks.host_ns(answered_s + way_s());
    entries.push_back({t4_ns, session::Exchange{t1_ns, clocks.recording_s(received_s),
                                                clocks.recording_s(answered_s), t4_ns}});
  }
}

session::Pace pace_record(const Truth& truth) {
  session::Pace pace;
  const std::int64_t interval_ns = to_ns(truth.refresh.interval_s);
  if (truth.settings.host.pacing != Pacing::kOnPress && truth.settings.host.vsync) {
    pace.frames = std::llround(truth.end_s / truth.refresh.interval_s);
    pace.missed = 0;
    pace.interval = session::Intervals{interval_ns, interval_ns, interval_ns};
  } else {
    pace.frames = static_cast<std::int64_t>(truth.changes.size());
  }
  return pace;
}

}  // namespace

std::vector<session::Record> log_records(const Truth& truth) {
  std::vector<Entry> entries;
  std::int64_t dark_submit_ns = 0;
  for (const PressTruth& press : truth.presses) {
    add_press(press, dark_submit_ns, entries);
  }
  add_exchanges(truth, entries);
  std::stable_sort(entries.begin(), entries.end(),
                   [](const Entry& a, const Entry& b) { return a.at_ns < b.at_ns; });
  std::vector<session::Record> records = {make_header(truth)};
  for (Entry& entry : entries) {
    records.push_back(std::move(entry.record));
  }
  records.emplace_back(pace_record(truth));
  records.emplace_back(session::End{static_cast<std::int64_t>(truth.presses.size()), "completed"});
  return records;
}

void write_log(const Truth& truth, const std::filesystem::path& file) {
  session::Writer writer(session::create_append_file(file));
  for (const session::Record& record : log_records(truth)) {
    writer.write(record);
  }
  writer.finish();
}

}  // namespace thumblight::rehearsal
