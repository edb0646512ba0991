#include "tools/cli/window_arguments.hpp"

#include <CLI/CLI.hpp>

#include "tools/cli/sweep_arguments.hpp"

namespace firstshot {

const char* const window_help =
    R"(Find the settings that give good shots. Two axes, by default melt temperature and how fast the case
fills, or any two keys that change gradually:

  firstshot window case.toml --axis "process.melt_temperature=200 degC..250 degC" \
                             --axis "process.fill_time=0.3 s..1.5 s ratio"

A lattice of runs is judged: fills, short, too cold (froze before it was full), over pressure
(limits.pressure_share), over clamp (limits.clamp_share), scorch, or no result. Edges of what fills are
halved by further runs, so a coarse lattice is enough; what is smaller than its cells is not seen. The
best setting is the one with the most room on all sides, in shares of the ranges; it is run, and so are
the ways from it to its edges.

Then shots at the best setting with what varies in the shop, a Latin hypercube of --shots N runs over
--vary KEY=FROM..TO (evenly) or KEY=MEAN +- SD (a normal spread, cut off at three SD): how many are
good, with an interval of 95 % after Clopper and Pearson, which here errs on the wide side. By default
the lot's viscosity varies by +- 5 %, regrind between 0 % and limits.regrind, and the mould by +- 2 K
(assumptions, no source; put in your own).

Each run is a process of its own and goes through the same machinery as a sweep: one that fails does not
stop the others, and a window that was stopped goes on with --resume. Writes window.json, window.csv,
window.html, window.png, window.pdf, and series.h5, series.csv with every number of every run.
Exit code 3: no run has a result.)";

void add_window_options(CLI::App& command, WindowOptions& options) {
  constexpr int most_points = 100, most_halvings = 20, most_shots = 100000;
  SweepOptions& sweep = options.sweep;
  sweep.accuracy = "preview";
  command.add_option("case", sweep.input, "the case file")->required()->type_name("CASE.toml");
  command
      .add_option("--axis", sweep.axes,
                  "one of two axes: KEY=FROM..TO, with \" ratio\" for equal "
                  "factors, with :POINTS for the lattice")
      ->type_name("AXIS")
      ->allow_extra_args(false);
  command
      .add_option("-o,--output", sweep.output,
                  "folder of the window (default: tug.window beside tug.toml)")
      ->type_name("DIR");
  command
      .add_option("--accuracy", sweep.accuracy, "level of accuracy of all runs (default preview)")
      ->check(CLI::IsMember({"preview", "default", "fine"}))
      ->type_name("LEVEL");
  command
      .add_option("--set", options.changes, "another value for a key of the case; may be repeated")
      ->type_name("KEY=VALUE")
      ->allow_extra_args(false);
  command
      .add_option("--points", options.points,
                  "points of the lattice along an axis that names none (default 5)")
      ->check(CLI::Range(2, most_points))
      ->type_name("N");
  command.add_option("--halvings", options.halvings, "of each edge (default 3)")
      ->check(CLI::Range(0, most_halvings))
      ->type_name("N");
  command
      .add_option("--shots", options.shots,
                  "runs at the best setting with what varies (default 40, 0: none)")
      ->check(CLI::Range(0, most_shots))
      ->type_name("N");
  command
      .add_option("--vary", options.varied,
                  "what varies from shot to shot, instead of the usual; may be repeated")
      ->type_name("SPREAD")
      ->allow_extra_args(false);
  command.add_option("--seed", sweep.seed, "of the Latin hypercube (default 1)")
      ->check(CLI::NonNegativeNumber)
      ->type_name("N");
  add_doing_options(command, sweep);
  command.add_flag("--json", options.json, "print window.json");
  command.add_flag("--strict", options.strict, "end with exit code 1 when no setting is good");
}

}  // namespace firstshot
