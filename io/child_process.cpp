#include "io/child_process.hpp"

#include <array>
#include <cerrno>
#include <csignal>
#include <cstring>

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "mesh/error.hpp"

namespace firstshot {
namespace {

/// Writes everything. @return whether that went well
bool write_all(int to, const std::string& bytes) {
  for (std::size_t done = 0; done < bytes.size();) {
    const ssize_t n = ::write(to, bytes.data() + done, bytes.size() - done);
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return false;
    done += static_cast<std::size_t>(n);
  }
  return true;
}

std::string read_all(int from) {
  std::string bytes;
  std::array<char, 1U << 16U> part{};
  while (true) {
    const ssize_t n = ::read(from, part.data(), part.size());
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return bytes;
    bytes.append(part.data(), static_cast<std::size_t>(n));
  }
}

/// Never returns.
void be_the_child(int to, const std::function<std::string()>& work, unsigned longest) {
  // A fault ends this process quietly, whatever the program does about faults of its own.
  for (const int fault : {SIGSEGV, SIGABRT, SIGBUS, SIGFPE, SIGILL, SIGALRM, SIGXCPU})
    std::signal(fault, SIG_DFL);
  const rlimit no_core{0, 0}, time{longest, longest};
  ::setrlimit(RLIMIT_CORE, &no_core);
  ::setrlimit(RLIMIT_CPU, &time);
  bool good = false;
  try {
    good = write_all(to, work());
  } catch (...) {
    good = false;
  }
  ::_exit(good ? 0 : 1);
}

}  // namespace

std::string answer_of_child(const std::function<std::string()>& work, unsigned longest) {
  std::array<int, 2> ends{};
  if (::pipe(ends.data()) != 0)
    throw Error(std::string("no process can be made: ") + std::strerror(errno));
  const pid_t child = ::fork();
  if (child < 0) {
    const int reason = errno;
    ::close(ends[0]);
    ::close(ends[1]);
    throw Error(std::string("no process can be made: ") + std::strerror(reason));
  }
  if (child == 0) be_the_child(ends[1], work, longest);
  ::close(ends[1]);
  std::string answer = read_all(ends[0]);
  ::close(ends[0]);
  int status = 0;
  while (::waitpid(child, &status, 0) < 0 && errno == EINTR) {
  }
  return WIFEXITED(status) && WEXITSTATUS(status) == 0 ? answer : std::string();
}

}  // namespace firstshot
