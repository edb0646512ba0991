#include "io/slurm.hpp"

#include <algorithm>
#include <chrono>
#include <fstream>
#include <sstream>
#include <thread>

#include <fmt/format.h>

#include "io/atomic_file.hpp"
#include "io/child_process.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

/// Largest array when the engine does not tell (its own default is 1001).
constexpr std::size_t usual_array = 1000;

fs::path slurm_folder(const SweepFolder& folder) { return folder.path() / "slurm"; }

/// For the shell, whatever is in it.
std::string quoted(const std::string& text) {
  std::string out = "'";
  for (const char c : text) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return out + "'";
}

std::string last_line(std::string text) {
  while (!text.empty() && std::isspace(static_cast<unsigned char>(text.back())) != 0)
    text.pop_back();
  const std::size_t at = text.rfind('\n');
  return at == std::string::npos ? text : text.substr(at + 1);
}

/// @throws Error the program is missing or ends with an error
std::string asked(const std::vector<std::string>& arguments) {
  const CommandOutput answer = run_command_of_system(arguments);
  constexpr int not_there = 127;
  if (answer.exit_code == not_there)
    throw Error(
        fmt::format("`{}` is not found, so there is no Slurm on this machine; without "
                    "--on slurm the runs go over its own cores",
                    arguments.front()));
  if (answer.exit_code != 0)
    throw Error(fmt::format("Slurm refuses: {} (from `{}`)", last_line(answer.err), arguments[0]));
  return answer.out;
}

/// One element does the runs that stand in its line of the list.
void write_script(const SweepFolder& folder, const SlurmOptions& options) {
  const std::string script = fmt::format(
      "#!/bin/sh\n"
      "# An element of the array does the runs in its line of the list that is its argument.\n"
      "line=$(sed -n \"$((SLURM_ARRAY_TASK_ID + 1))p\" \"$1\")\n"
      "export OMP_NUM_THREADS=1\n"
      "worst=0\n"
      "for run in $line; do\n"
      "  {} sweep --element \"$run\" -o {} || worst=$?\n"
      "done\n"
      "exit $worst\n",
      quoted(options.program.string()), quoted(fs::absolute(folder.path()).string()));
  write_atomically(slurm_folder(folder) / "element.sh", script);
}

std::size_t largest_array() {
  const CommandOutput answer = run_command_of_system({"scontrol", "show", "config"});
  const std::size_t at = answer.out.find("MaxArraySize");
  if (answer.exit_code != 0 || at == std::string::npos) return usual_array;
  const std::size_t equals = answer.out.find('=', at);
  const long size = std::strtol(answer.out.c_str() + equals + 1, nullptr, 10);
  return size > 1 ? static_cast<std::size_t>(size - 1) : usual_array;
}

std::vector<std::string> known_jobs(const SweepFolder& folder) {
  std::ifstream in(slurm_folder(folder) / "jobs.txt");
  std::vector<std::string> jobs;
  for (std::string job; std::getline(in, job);)
    if (!job.empty()) jobs.push_back(job);
  return jobs;
}

void add_job(const SweepFolder& folder, const std::string& job) {
  std::string text;
  for (const std::string& known : known_jobs(folder)) text += known + "\n";
  write_atomically(slurm_folder(folder) / "jobs.txt", text + job + "\n");
}

std::string submit_lines(const SweepFolder& folder, const SlurmOptions& options,
                         const std::string& list, std::size_t lines) {
  std::string array = fmt::format("--array=0-{}", lines - 1);
  if (options.at_once > 0) array += fmt::format("%{}", options.at_once);
  std::vector<std::string> arguments = {
      "sbatch",     "--parsable",        "--job-name=firstshot-sweep",
      "--ntasks=1", "--cpus-per-task=1", array};
  const fs::path absolute = fs::absolute(slurm_folder(folder));
  arguments.push_back("--output=" + (absolute / "%A_%a.log").string());
  arguments.insert(arguments.end(), options.sbatch.begin(), options.sbatch.end());
  arguments.push_back((absolute / "element.sh").string());
  arguments.push_back(list);
  const std::string answer = last_line(asked(arguments));
  return answer.substr(0, answer.find(';'));  // "17;cluster" with several clusters
}

/// Submits these runs. @return jobs
std::size_t submit(const SweepFolder& folder, const SlurmOptions& options,
                   const std::vector<std::size_t>& runs) {
  std::error_code error;
  fs::create_directories(slurm_folder(folder), error);
  write_script(folder, options);
  const auto per_line = static_cast<std::size_t>(std::max(1, options.per_element));
  const std::size_t most_lines = largest_array();
  std::size_t jobs = known_jobs(folder).size(), submitted = 0;
  for (std::size_t at = 0; at < runs.size();) {
    std::string text;
    std::size_t lines = 0;
    for (; lines < most_lines && at < runs.size(); ++lines) {
      for (std::size_t k = 0; k < per_line && at < runs.size(); ++k, ++at)
        text += fmt::format("{}{}", k == 0 ? "" : " ", runs[at] + 1);
      text += "\n";
    }
    const fs::path list = fs::absolute(slurm_folder(folder)) / fmt::format("runs-{}.txt", ++jobs);
    write_atomically(list, text);
    add_job(folder, submit_lines(folder, options, list.string(), lines));
    ++submitted;
  }
  return submitted;
}

void note(const SlurmOptions& options, const std::string& sentence) {
  if (options.on_note) options.on_note(sentence);
}

enum class Watch { ended, stopped };

/// Until the engine knows none of the jobs any more.
Watch watch(const SweepFolder& folder, const SlurmOptions& options) {
  constexpr int most_silence = 30;  // questions without an answer, with the pause below a minute
  int silent = 0;
  while (true) {
    try {
      if (live_jobs(folder).empty()) return Watch::ended;
      silent = 0;
    } catch (const Error& error) {
      if (++silent == 1) note(options, fmt::format("{}; asking again", error.what()));
      if (silent > most_silence)
        throw Error(fmt::format("{}; the runs that it still does are kept, go on by --resume",
                                error.what()));
    }
    if (options.on_progress) options.on_progress(folder.runs_in(RunState::open).size());
    const auto until =
        std::chrono::steady_clock::now() + std::chrono::duration<double>(options.poll_seconds);
    while (std::chrono::steady_clock::now() < until) {
      if (options.may_go_on && !options.may_go_on()) return Watch::stopped;
      constexpr std::chrono::milliseconds nap{50};
      std::this_thread::sleep_for(nap);
    }
  }
}

}  // namespace

std::vector<std::string> live_jobs(const SweepFolder& folder) {
  const std::vector<std::string> jobs = known_jobs(folder);
  if (jobs.empty()) return {};
  // All jobs of the user: a question for one that is forgotten is an error.
  std::istringstream lines(asked({"squeue", "--me", "-h", "-o", "%A %F"}));
  std::vector<std::string> live;
  for (std::string own, array; lines >> own >> array;)
    if (std::find(jobs.begin(), jobs.end(), array) != jobs.end() &&
        std::find(live.begin(), live.end(), array) == live.end())
      live.push_back(array);
  return live;
}

void need_slurm() { asked({"sinfo", "-h", "-o", "%T"}); }

SlurmEnd run_slurm(const SweepFolder& folder, const SlurmOptions& options) {
  if (!live_jobs(folder).empty()) {
    note(options, "jobs of this sweep are still there; watching them");
    if (watch(folder, options) == Watch::stopped) return SlurmEnd::stopped;
  }
  for (int attempt = 0; attempt < options.tries; ++attempt) {
    const std::vector<std::size_t> open = folder.runs_in(RunState::open);
    if (open.empty()) return SlurmEnd::all_ended;
    if (!folder.can_store()) return SlurmEnd::disk_failed;
    if (attempt > 0)
      note(options,
           fmt::format("{} runs were lost on the way; submitting them again", open.size()));
    submit(folder, options, open);
    if (watch(folder, options) == Watch::stopped) return SlurmEnd::stopped;
  }
  if (folder.runs_in(RunState::open).empty()) return SlurmEnd::all_ended;
  return folder.can_store() ? SlurmEnd::runs_missing : SlurmEnd::disk_failed;
}

}  // namespace firstshot
