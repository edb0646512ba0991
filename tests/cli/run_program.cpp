#include "tests/cli/run_program.hpp"

#include <array>
#include <cstdlib>
#include <fstream>
#include <stdexcept>

#include <poll.h>
#include <sys/wait.h>
#include <unistd.h>

namespace firstshot::test {
namespace {

[[noreturn]] void become_program(const std::filesystem::path& program,
                                 const std::vector<std::string>& arguments, int out, int err) {
  dup2(out, STDOUT_FILENO);
  dup2(err, STDERR_FILENO);
  std::vector<char*> argv = {const_cast<char*>(program.c_str())};
  for (const std::string& a : arguments) argv.push_back(const_cast<char*>(a.c_str()));
  argv.push_back(nullptr);
  execv(argv[0], argv.data());
  _exit(127);
}

/// Appends what the pipe holds. @return false at its end
bool drain(int pipe, std::string& text) {
  std::array<char, 4096> buffer;
  const ssize_t n = read(pipe, buffer.data(), buffer.size());
  if (n > 0) text.append(buffer.data(), static_cast<std::size_t>(n));
  return n > 0;
}

}  // namespace

ProgramOutput run_program(const std::vector<std::string>& arguments,
                          const std::function<void(int, const std::string&)>& watch) {
  return run_program_at(FIRSTSHOT_PROGRAM, arguments, watch);
}

ProgramOutput run_program_at(const std::filesystem::path& program,
                             const std::vector<std::string>& arguments,
                             const std::function<void(int, const std::string&)>& watch) {
  std::array<int, 2> out_pipe, err_pipe;
  if (pipe(out_pipe.data()) != 0 || pipe(err_pipe.data()) != 0) throw std::runtime_error("no pipe");
  const pid_t process = fork();
  if (process == 0) become_program(program, arguments, out_pipe[1], err_pipe[1]);
  close(out_pipe[1]);
  close(err_pipe[1]);

  ProgramOutput result;
  std::array<pollfd, 2> open = {{{out_pipe[0], POLLIN, 0}, {err_pipe[0], POLLIN, 0}}};
  while (open[0].fd >= 0 || open[1].fd >= 0) {
    poll(open.data(), open.size(), -1);
    if (open[0].fd >= 0 && open[0].revents != 0 && !drain(open[0].fd, result.out)) open[0].fd = -1;
    if (open[1].fd >= 0 && open[1].revents != 0) {
      if (!drain(open[1].fd, result.err)) open[1].fd = -1;
      if (watch) watch(process, result.err);
    }
  }
  close(out_pipe[0]);
  close(err_pipe[0]);
  int status = 0;
  waitpid(process, &status, 0);
  result.exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  return result;
}

TemporaryFolder::TemporaryFolder() {
  std::string name = (std::filesystem::temp_directory_path() / "firstshot-test-XXXXXX").string();
  if (mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder");
  path_ = name;
}

TemporaryFolder::~TemporaryFolder() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

std::string TemporaryFolder::file(const std::string& name, const std::string& text) const {
  std::ofstream(path_ / name) << text;
  return (path_ / name).string();
}

}  // namespace firstshot::test
