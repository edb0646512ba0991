#include "tools/cli/calibrate_arguments.hpp"

#include <CLI/CLI.hpp>

#include "tools/cli/sweep_arguments.hpp"

namespace firstshot {

const char* const calibrate_help =
    R"(Learn from trial shots what nobody knows beforehand: how stiff this lot of melt is, what narrow
entrances cost, how well the melt touches the mould, how much air the parting line and the vents let out. The
table has a row per shot; its head row names the columns with their units:

  shot, melt_temperature [degC], fill_time [s], peak_pressure [MPa], shot_weight [g], short_parts
  1,    220,                     0.5,           38.2,                20.1,            none

Set: any key of the case ("process.melt_temperature [degC]"; those of [process] also without it),
stroke [mm] or injected_volume [cm3], holding_pressure [MPa] with holding_time [s].
Seen: peak_pressure [MPa] of the melt, peak_oil_pressure [bar], shot_weight [g], filled.PART [%],
short_parts with + between them ("none" when all were full); NAME_scatter gives the standard deviation
of one shot. An empty cell was not looked at.

Whole runs of the case at each setting are fitted to the table, together with what was known before (the
band of the card, the usual bands of the others). Says each factor with its interval, and which of them
these shots cannot tell apart. The folder gets calibrate.json, forecast.csv (trial against forecast), a
material card of your own, case.resolved.toml with all of it, after/ (a run of that) and report.html.)";

void add_calibrate_options(CLI::App& command, CalibrateOptions& options) {
  command.add_option("case", options.common.case_file, "the case file")
      ->required()
      ->type_name("CASE.toml");
  command.add_option("trials", options.trials, "the table of trial shots")
      ->required()
      ->type_name("TRIALS.csv");
  command
      .add_option("-o,--output", options.common.output,
                  "folder of the calibration (default: as run, .calibration)")
      ->type_name("DIR");
  command
      .add_option("--accuracy", options.common.accuracy,
                  "level of accuracy of all runs, instead of the one in the case")
      ->check(CLI::IsMember({"preview", "default", "fine"}))
      ->type_name("LEVEL");
  command
      .add_option("--factor", options.factors,
                  "estimate this one only: viscosity_factor, entrance_length, "
                  "contact_conductance, parting_line_gap or vent_depth_factor; may be repeated")
      ->type_name("NAME")
      ->allow_extra_args(false);
  constexpr double least = 0.5, most = 0.999;
  command
      .add_option("--confidence", options.confidence, "share that an interval holds (default 0.9)")
      ->check(CLI::Range(least, most))
      ->type_name("SHARE");
  command
      .add_option("--card", options.card_name,
                  "name of the new card (default: that of the case with -trial)")
      ->type_name("NAME");
  add_doing_options(command, options.runs);
  command.add_flag("--json", options.common.json, "print calibrate.json instead of the tables");
}

}  // namespace firstshot
