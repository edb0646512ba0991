#include "tools/cli/stop_request.hpp"

#include <atomic>
#include <csignal>

namespace firstshot {
namespace {

std::atomic<int> asked = 0;
static_assert(std::atomic<int>::is_always_lock_free,
              "a signal handler may only touch lock-free atomics");

struct sigaction previous_interrupt, previous_terminate;

extern "C" void note_signal(int number) { asked.store(number); }

}  // namespace

StopRequest::StopRequest() {
  asked.store(0);
  struct sigaction action = {};
  action.sa_handler = note_signal;
  sigemptyset(&action.sa_mask);
  action.sa_flags = SA_RESETHAND | SA_RESTART;
  sigaction(SIGINT, &action, &previous_interrupt);
  sigaction(SIGTERM, &action, &previous_terminate);
}

StopRequest::~StopRequest() {
  sigaction(SIGINT, &previous_interrupt, nullptr);
  sigaction(SIGTERM, &previous_terminate, nullptr);
}

int StopRequest::signal() { return asked.load(); }

int exit_code_of_signal(int signal) {
  constexpr int shell_offset = 128;
  return shell_offset + signal;
}

}  // namespace firstshot
