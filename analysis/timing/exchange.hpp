#pragma once

#include <cstddef>
#include <vector>

#include "analysis/timing/linked_clock.hpp"
#include "analysis/timing/timebase.hpp"
#include "harness/session/records.hpp"

/// The clock link exchange: requests and answers between the host, which is the client, and the
/// sensor, which is the server.
namespace thumblight::timing {

/// Of one exchange, in seconds (RFC 5905, 8): offset = ((t2 - t1) + (t3 - t4)) / 2 is the server's
/// clock less the client's, delay = (t4 - t1) - (t3 - t2) the way there and back. Were all of the
/// delay on one way, the offset would be off by half of it, and never by more.
struct ExchangeReading {
  double offset_s = 0;
  double delay_s = 0;
};

ExchangeReading read_exchange(double t1_s, double t2_s, double t3_s, double t4_s);

struct ExchangeLink {
  LinkedClock clock;
  double least_delay_s = 0;
  std::size_t exchanges = 0;   ///< all of them
  std::size_t impossible = 0;  ///< left out: an answer before its request
};

/// The clock from the exchanges with the least delays: a quarter of them, but at least eight where
/// there are so many, weighed by how far their delay exceeds the least. Half the least delay is the
/// half-width of what no number of exchanges takes away; the standard
/// uncertainties also take in that the excess delays of all of them may lie on one way. Throws
/// `Error` where no exchange is possible.
ExchangeLink link_by_exchange(const std::vector<session::Exchange>& exchanges, const Timebase& base,
                              const std::optional<Drift>& lights);

}  // namespace thumblight::timing
