#include "tools/cli/sweep_element.hpp"

#include <chrono>
#include <cstdio>
#include <exception>
#include <new>
#include <optional>
#include <string>

#include <fmt/format.h>

#include "io/atomic_file.hpp"
#include "io/build_setup.hpp"
#include "io/summary.hpp"
#include "io/sweep_folder.hpp"
#include "io/sweep_local.hpp"
#include "solver/numeric/parallel.hpp"
#include "solver/stage/fill.hpp"
#include "solver/whole/run_case.hpp"
#include "tools/cli/card_places.hpp"
#include "tools/cli/commands.hpp"
#include "tools/cli/exit_code.hpp"
#include "tools/cli/version.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

/// Only the numbers: no result file, no fields, no page.
std::string numbers_of(const SweepPlan& plan, std::size_t run) {
  const auto begin = Clock::now();
  const std::vector<CaseOverride> changes = plan.changes(run);
  Case c = read_case(plan.case_file, changes);
  if (!plan.accuracy.empty()) set_accuracy_level(c, plan.accuracy);
  const BuiltSetup built = build_setup(c, program_card_folders());
  const Result result = run_case(built.setup);
  const double wall = std::chrono::duration<double>(Clock::now() - begin).count();
  return summary_json(built.setup, result, {version_text, 1, wall, peak_memory_MB()});
}

/// As `run` does it, with all its files; goes on where an earlier try stopped.
int whole_run(const SweepPlan& plan, std::size_t run, const fs::path& folder) {
  CaseOptions options;
  options.case_file = plan.case_file;
  options.output = folder;
  options.accuracy = plan.accuracy;
  for (const CaseOverride& change : plan.changes(run))
    options.changes.push_back(change.key + "=" + change.value);
  options.threads = 1;
  options.quiet = true;
  options.resume = true;
  const int code = run_command(options);
  if (code != exit_done || fs::exists(folder / "summary.json")) return code;
  // Stopped, or the disk full, between the finished result file and what is written beside it.
  fs::remove_all(folder);
  return run_command(options);
}

struct Failure {
  std::string reason;
  int exit_code = exit_our_bug;
};

/// What went wrong with the frame, if anything. Errors of storing pass through.
std::optional<Failure> attempt(const SweepFolder& folder, std::size_t run, std::string& json) {
  const SweepPlan& plan = folder.plan();
  try {
    if (!plan.keep_all)
      json = numbers_of(plan, run);
    else if (const int code = whole_run(plan, run, folder.run_folder(run)); code != exit_done)
      return Failure{fmt::format("ended with exit code {}", code), code};
    return std::nullopt;
  } catch (const SolveError& e) {
    return Failure{e.what(), exit_no_solution};
  } catch (const Error& e) {
    return Failure{e.what(), exit_bad_input};
  } catch (const std::bad_alloc&) {
    return Failure{"not enough memory", exit_no_solution};
  } catch (const std::exception& e) {
    return Failure{fmt::format("a fault of the program: {}", e.what()), exit_our_bug};
  }
}

}  // namespace

fs::path own_program() { return fs::read_symlink("/proc/self/exe"); }

int sweep_element(const fs::path& path, std::size_t number) {
  const SweepFolder folder = SweepFolder::open(path);
  if (number < 1 || number > folder.plan().size())
    throw Error(fmt::format("this sweep has the runs 1 to {}, there is no run {}",
                            folder.plan().size(), number));
  const std::size_t run = number - 1;
  if (folder.state(run) == RunState::done) return exit_done;
  set_thread_count(1);
  try {
    folder.begin_run(run);
    std::string json;
    const std::optional<Failure> failure = attempt(folder, run, json);
    if (failure && folder.plan().keep_all && !folder.can_store()) return exit_not_stored;
    if (failure) {
      folder.write_failure(run, failure->reason);
      fmt::print(stderr, "firstshot: run {}: {}\n", number, failure->reason);
      return failure->exit_code;
    }
    if (!folder.plan().keep_all) folder.write_summary(run, json);
    return exit_done;
  } catch (const std::exception& e) {
    fmt::print(stderr, "firstshot: run {} could not be stored: {}\n", number, e.what());
    return exit_not_stored;
  }
}

}  // namespace firstshot
