#include "io/child_process.hpp"

#include <array>
#include <cerrno>
#include <csignal>
#include <cstring>

#include <poll.h>
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

void become_program(const std::vector<std::string>& arguments, int exit_code) {
  std::vector<char*> argv;
  argv.reserve(arguments.size() + 1);
  for (const std::string& a : arguments) argv.push_back(const_cast<char*>(a.c_str()));
  argv.push_back(nullptr);
  ::execvp(argv[0], argv.data());
  ::_exit(exit_code);
}

CommandOutput run_command_of_system(const std::vector<std::string>& arguments) {
  std::array<std::array<int, 2>, 2> pipes{};
  for (auto& pipe : pipes)
    if (::pipe(pipe.data()) != 0) throw Error(std::string("no pipe: ") + std::strerror(errno));
  const pid_t child = ::fork();
  if (child < 0) throw Error(std::string("no process can be made: ") + std::strerror(errno));
  if (child == 0) {
    ::dup2(pipes[0][1], STDOUT_FILENO);
    ::dup2(pipes[1][1], STDERR_FILENO);
    constexpr int not_there = 127;
    become_program(arguments, not_there);
  }
  for (auto& pipe : pipes) ::close(pipe[1]);
  CommandOutput result;
  std::array<std::string*, 2> texts = {&result.out, &result.err};
  std::array<pollfd, 2> open = {{{pipes[0][0], POLLIN, 0}, {pipes[1][0], POLLIN, 0}}};
  while (open[0].fd >= 0 || open[1].fd >= 0) {
    if (::poll(open.data(), open.size(), -1) < 0 && errno != EINTR) break;
    for (std::size_t i = 0; i < open.size(); ++i) {
      if (open[i].fd < 0 || open[i].revents == 0) continue;
      std::array<char, 4096> buffer{};
      const ssize_t n = ::read(open[i].fd, buffer.data(), buffer.size());
      if (n > 0) texts[i]->append(buffer.data(), static_cast<std::size_t>(n));
      if (n == 0 || (n < 0 && errno != EINTR)) open[i].fd = -1;
    }
  }
  for (auto& pipe : pipes) ::close(pipe[0]);
  int status = 0;
  while (::waitpid(child, &status, 0) < 0 && errno == EINTR) {
  }
  constexpr int shell_offset = 128;
  result.exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : shell_offset + WTERMSIG(status);
  return result;
}

}  // namespace firstshot
