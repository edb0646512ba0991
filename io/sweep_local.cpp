#include "io/sweep_local.hpp"

#include <cerrno>
#include <csignal>
#include <cstring>
#include <map>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "io/child_process.hpp"

namespace firstshot {
namespace {

/// Never returns. Results are files; what a run would print goes nowhere.
void become_run(const std::vector<std::string>& arguments, pid_t parent) {
  ::prctl(PR_SET_PDEATHSIG, SIGKILL);
  if (::getppid() != parent) ::_exit(exit_not_stored);  // it ended before the line above
  const int nowhere = ::open("/dev/null", O_RDWR);
  for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) ::dup2(nowhere, stream);
  become_program(arguments, exit_not_started);
}

pid_t start_run(const SweepFolder& folder, std::size_t run, const LocalRuns& options) {
  const std::vector<std::string> arguments = {
      options.program.string(), "sweep", "--element",
      std::to_string(run + 1),  "-o",    folder.path().string()};
  const pid_t parent = ::getpid();
  const pid_t child = ::fork();
  if (child < 0) throw Error(fmt::format("no process can be made: {}", std::strerror(errno)));
  if (child == 0) become_run(arguments, parent);
  return child;
}

/// What the end of a process means for its run. @return all_ended: it has a result or a reason
SweepEnd settle(const SweepFolder& folder, std::size_t run, int status) {
  if (folder.state(run) != RunState::open) return SweepEnd::all_ended;
  if (WIFEXITED(status) && WEXITSTATUS(status) == exit_not_stored) return SweepEnd::disk_failed;
  if (WIFEXITED(status) && WEXITSTATUS(status) == exit_not_started) return SweepEnd::not_started;
  try {
    folder.write_failure(
        run, WIFSIGNALED(status) ? fmt::format("the program broke down in this run (signal {}, {})",
                                               WTERMSIG(status), strsignal(WTERMSIG(status)))
                                 : fmt::format("the run ended with exit code {} and left no result",
                                               WEXITSTATUS(status)));
  } catch (const Error&) {
    return SweepEnd::disk_failed;
  }
  return SweepEnd::all_ended;
}

/// Processes of runs; those that are left at the end are ended and waited for.
class Crew {
 public:
  Crew(const SweepFolder& folder, const LocalRuns& options) : folder_(folder), options_(options) {}
  Crew(const Crew&) = delete;
  Crew& operator=(const Crew&) = delete;
  ~Crew() { stop(); }

  std::size_t size() const { return running_.size(); }
  void start(std::size_t run) { running_[start_run(folder_, run, options_)] = run; }
  void stop() {
    for (const auto& [process, run] : running_) ::kill(process, SIGKILL);
    for (const auto& [process, run] : running_)
      while (::waitpid(process, nullptr, 0) < 0 && errno == EINTR) {
      }
    running_.clear();
  }
  /// Settles runs whose process has ended. @return what was in the way of the last one that stays
  /// open
  SweepEnd settle_ended(std::size_t& ended) {
    SweepEnd end = SweepEnd::all_ended;
    for (auto it = running_.begin(); it != running_.end();) {
      int status = 0;
      if (::waitpid(it->first, &status, WNOHANG) <= 0) {
        ++it;
        continue;
      }
      const SweepEnd settled = settle(folder_, it->second, status);
      if (settled == SweepEnd::all_ended)
        ++ended;
      else
        end = settled;
      it = running_.erase(it);
    }
    return end;
  }

 private:
  const SweepFolder& folder_;
  const LocalRuns& options_;
  std::map<pid_t, std::size_t> running_;
};

void pause_briefly() {
  constexpr long nanoseconds = 2'000'000;
  const timespec time{0, nanoseconds};
  ::nanosleep(&time, nullptr);
}

}  // namespace

SweepEnd run_local(const SweepFolder& folder, const std::vector<std::size_t>& runs,
                   const LocalRuns& options) {
  Crew crew(folder, options);
  std::size_t next = 0, ended = 0;
  SweepEnd end = SweepEnd::all_ended;
  const auto goes_on = [&] { return end == SweepEnd::all_ended && next < runs.size(); };
  while (crew.size() > 0 || goes_on()) {
    if (options.may_go_on && !options.may_go_on()) return SweepEnd::stopped;
    while (goes_on() && crew.size() < static_cast<std::size_t>(options.at_once))
      crew.start(runs[next++]);
    const std::size_t before = ended;
    const SweepEnd settled = crew.settle_ended(ended);
    if (settled != SweepEnd::all_ended) end = settled;
    if (ended != before && options.on_progress) options.on_progress(ended);
    if (ended == before) pause_briefly();
  }
  return end;
}

}  // namespace firstshot
