#include "tools/cli/sweep_arguments.hpp"

#include <CLI/CLI.hpp>

namespace firstshot {

const char* const sweep_help =
    R"(Run a case with the values of axes over its keys: every combination (grid), side by side (--list), or
a Latin hypercube (--runs N). Axes stand in a sweep file or on the command line:

  firstshot sweep case.toml --axis "process.melt_temperature=200 degC..240 degC:5" \
                            --axis "process.fill_time=0.4 s, 0.6 s, 0.9 s"

A range takes its number of points behind a colon, "0.2 s..2 s:5 ratio" goes up by equal factors.
Places in lists stand in brackets, by number or name: layout.gate[g-deck].width.
Each run is a process of its own; one that fails does not stop the others. A sweep that was stopped
goes on with --resume: what is done is not done again. Writes series.h5 and series.csv: a row per run
with the values of the axes and each number of its summary.json, the unit at the end of its name.

--on slurm submits the runs as job arrays and watches them; Ctrl-C stops the watching only. What an
engine loses is submitted again, twice at most. Exit code 3: some runs have no result.)";

namespace {
constexpr int most_runs = 100000;
}

void add_doing_options(CLI::App& command, SweepOptions& options) {
  constexpr int most_jobs = 1024;
  command.add_option("--on", options.on, "where: the cores of this machine, or a Slurm cluster")
      ->check(CLI::IsMember({"cores", "slurm"}))
      ->type_name("PLACE");
  command.add_option("--jobs", options.jobs, "runs at once (default: one per processor)")
      ->check(CLI::Range(1, most_jobs))
      ->type_name("N");
  command
      .add_option("--sbatch", options.sbatch,
                  "further option of sbatch, such as --sbatch=--partition=long; may be repeated")
      ->type_name("OPTION")
      ->allow_extra_args(false);
  command
      .add_option("--per-element", options.per_element,
                  "runs that one element of a job array does (default 1; more for short runs)")
      ->check(CLI::Range(1, most_runs))
      ->type_name("N");
  command.add_flag("--resume", options.resume, "go on with what this folder holds");
  command.add_flag("--retry-failed", options.retry_failed,
                   "with --resume: also do again what failed");
  command.add_flag("--quiet", options.quiet, "no progress on standard error");
}

void add_sweep_options(CLI::App& command, SweepOptions& options) {
  command.add_option("input", options.input, "the case file, or a sweep file that names one")
      ->type_name("CASE.toml|SWEEP.toml");
  command
      .add_option("--axis", options.axes,
                  "values of a key: KEY=FROM..TO:POINTS or KEY=VALUE, VALUE; may be repeated")
      ->type_name("AXIS")
      ->allow_extra_args(false);
  command
      .add_option("-o,--output", options.output,
                  "folder of the sweep (default: tug.sweep beside tug.toml)")
      ->type_name("DIR");
  command.add_option("--accuracy", options.accuracy, "level of accuracy of all runs")
      ->check(CLI::IsMember({"preview", "default", "fine"}))
      ->type_name("LEVEL");
  command.add_flag("--list", options.side_by_side,
                   "take the first values of all axes, then the second ones, instead of a grid");
  command.add_option("--runs", options.sample, "runs of a Latin hypercube over the ranges")
      ->check(CLI::Range(1, most_runs))
      ->type_name("N");
  command.add_option("--seed", options.seed, "of the Latin hypercube (default 1)")
      ->check(CLI::NonNegativeNumber)
      ->type_name("N");
  command.add_flag("--keep-all", options.keep_all,
                   "keep a whole results folder of each run, not only its summary.json");
  add_doing_options(command, options);
  command.add_option("--element", options.element, "do one run of the sweep in -o DIR, from 1")
      ->check(CLI::Range(1, most_runs))
      ->type_name("N");
}

}  // namespace firstshot
