#include "tests/bench/punctuality.hpp"

#include <pthread.h>
#include <sched.h>
#include <sys/prctl.h>

namespace thumblight::bench {

bool ask_for_punctuality() {
  prctl(PR_SET_TIMERSLACK, 1);
  sched_param priority{};
  priority.sched_priority = 1;
  return pthread_setschedparam(pthread_self(), SCHED_FIFO, &priority) == 0;
}

}  // namespace thumblight::bench
