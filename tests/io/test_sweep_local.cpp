// What the end of a run's process means for the sweep; the processes are small scripts.
#include <filesystem>
#include <fstream>

#include <catch2/catch.hpp>

#include "io/sweep_local.hpp"
#include "tests/io/case_samples.hpp"

namespace firstshot::test {
namespace {

using Catch::Matchers::Contains;
namespace fs = std::filesystem;

SweepFolder sweep_of(std::size_t runs, const fs::path& path) {
  SweepPlan plan;
  plan.case_file = "/nowhere/case.toml";
  plan.keys = {"process.fill_time"};
  for (std::size_t k = 1; k <= runs; ++k) plan.values.push_back({std::to_string(k) + " s"});
  return SweepFolder::begin(path / "sweep", plan, false);
}

SweepFolder three_runs(const fs::path& path) { return sweep_of(3, path); }

/// Called as PROGRAM sweep --element N -o FOLDER.
fs::path program_that(const fs::path& folder, const std::string& commands) {
  const fs::path file = folder / "program";
  std::ofstream(file) << "#!/bin/sh\n" << commands << "\n";
  fs::permissions(file, fs::perms::owner_all);
  return file;
}

}  // namespace

TEST_CASE("a program that cannot be started is no full disk, and no fault of the runs",
          "[io][sweep]") {
  const ScratchFolder scratch("sweep-local");
  const SweepFolder folder = three_runs(scratch.path());
  CHECK(run_local(folder, {0, 1, 2}, {scratch.path() / "nothing", 2}) == SweepEnd::not_started);
  CHECK(folder.runs_in(RunState::open).size() == 3);
}

TEST_CASE("runs whose process could not store its result stay open", "[io][sweep]") {
  const ScratchFolder scratch("sweep-local");
  const SweepFolder folder = three_runs(scratch.path());
  const fs::path program = program_that(scratch.path(), "exit 75");
  CHECK(run_local(folder, {0, 1, 2}, {program, 1}) == SweepEnd::disk_failed);
  CHECK(folder.runs_in(RunState::open).size() == 3);
}

TEST_CASE("runs that break down get that as their reason, and the others go on", "[io][sweep]") {
  const ScratchFolder scratch("sweep-local");
  const SweepFolder folder = three_runs(scratch.path());
  const fs::path program =
      program_that(scratch.path(),
                   "case $3 in 1) exit 4;; 2) kill -SEGV $$;; esac\n"
                   "mkdir \"$5/runs/00003\" && echo {} > \"$5/runs/00003/summary.json\"");
  std::size_t ended = 0;
  CHECK(run_local(folder, {0, 1, 2}, {program, 1, {}, [&](std::size_t n) { ended = n; }}) ==
        SweepEnd::all_ended);
  CHECK(ended == 3);
  CHECK_THAT(folder.failure(0), Contains("exit code 4"));
  CHECK_THAT(folder.failure(1), Contains("signal 11"));
  CHECK(folder.state(2) == RunState::done);
}

TEST_CASE("a thousand runs that break down each leave their reason", "[io][sweep]") {
  const ScratchFolder scratch("sweep-local");
  const SweepFolder folder = sweep_of(1000, scratch.path());
  const fs::path program =
      program_that(scratch.path(), "case $3 in *5) kill -KILL $$;; *) exit 3;; esac");
  CHECK(run_local(folder, folder.runs_in(RunState::open), {program, 4}) == SweepEnd::all_ended);
  CHECK(folder.runs_in(RunState::failed).size() == 1000);
  CHECK_THAT(folder.failure(4), Contains("signal 9"));
  CHECK_THAT(folder.failure(999), Contains("exit code 3"));
}

}  // namespace firstshot::test
