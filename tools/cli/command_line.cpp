#include "tools/cli/command_line.hpp"

#include <algorithm>
#include <cstdio>
#include <string>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "io/toml_reader.hpp"
#include "tools/cli/calibrate_arguments.hpp"
#include "tools/cli/commands.hpp"
#include "tools/cli/exit_code.hpp"
#include "tools/cli/sweep_arguments.hpp"
#include "tools/cli/version.hpp"
#include "tools/cli/window_arguments.hpp"

namespace firstshot {
namespace {

constexpr int most_threads = 1024;

constexpr const char* program_help =
    "Shows how a frame of moulded polystyrene parts fills, before its mould is milled.";

constexpr const char* program_footer =
    R"(A case is a text file; see README.md and `firstshot explain`. Quantities carry their unit: "1.2 mm".

Exit codes: 0 done (a short shot is a result), 1 not approved and --strict was given, 2 wrong input,
3 no solution found, 4 a fault of the program; 130 or 143 a run that Ctrl-C or a kill stopped, it goes
on with `run --resume`.

Results are estimates. Hot melt, high pressure and moving platens: follow the machine's manual and
local codes; settings are for a qualified setter.)";

constexpr const char* check_help =
    R"(Build the model and solve nothing: nodes, triangles and angles of the mesh; wall [mm], volume
[mm3] and weight [g] of each part; sections and lengths [mm] of the channels; weight [g] on each
side of the injection point; projected area [cm2]; width x depth x length [mm] of each gate and the
largest of the shop's cutters [mm] that passes through it; notes on what an experienced eye would
question. With -o DIR also section.pvd: walls, channels and findings to look at.)";

constexpr const char* run_help =
    R"(Fill the mould, hold and cool. Prints fill time [s], peak pressure of the melt at the injection point [MPa],
opening force [kN], which parts fill last, and which stay short and why. Writes result.h5, fill.pvd
with its steps, weld_lines.vtp, summary.json, report.html, case.resolved.toml and, of a solid,
surface.vtp into the results folder. Ctrl-C stops at the end of a step; --resume goes on from there
and ends with the same bits.)";

constexpr const char* balance_help =
    R"(Find the fewest changes of runners and gates after which all parts are nearly full (98 %) at about the
same time: in widths of the shop's cutters (key cutters) and whole steps, gates no deeper than 0.8 of
their wall and not on visible parts, runners no thicker than the cycle allows. A reduced network of the
frame proposes, full runs verify. --aim pressure and --aim weight ask for least pressure or least shot
weight instead, with the parts no less even. With --vents: the fewest vents that let caught air out. With
--gates: further gates that cure short shots and caught air. The folder gets case.resolved.toml (the
new case), balance.json, before/ and after/ (the runs) and report.html, which shows both.)";

constexpr const char* report_help =
    R"(Draw the results of a run as one page, report.html: verdict, numbers, the frame to look into, curves,
tables, setup sheet, approval. It needs no network and prints on A4. Everything comes from the
result file; what an unfinished or damaged one does not hold, the page names. Several results
folders are put side by side. With --pictures, sheets of the fields for e-mail and paper.)";

constexpr const char* material_help =
    R"(Show a material card: viscosity [Pa s] over shear rate [1/s] and temperature [degC], the melt flow
rate [g/10min] that the law predicts beside the one of the grade, and the source of each number.
Without a card: list the cards that come with the program.)";

constexpr const char* explain_help =
    R"(Say what a key of the case file means, with its unit, range and default, for example
`firstshot explain process.fill_time`. Without a key: list all keys.)";

/// @param brief for the list of commands @param help for the command's own page
CLI::App* add_command(CLI::App& app, const char* name, const char* brief, const char* help) {
  CLI::App* command = app.add_subcommand(name, brief)->group("Commands");
  command->footer(std::string(help) + "\n\n" + program_footer);
  return command;
}

void add_case_options(CLI::App& command, CaseOptions& options, const char* output_help) {
  command.add_option("case", options.case_file, "the case file")
      ->required()
      ->type_name("CASE.toml");
  command.add_option("-o,--output", options.output, output_help)->type_name("DIR");
  command
      .add_option("--accuracy", options.accuracy,
                  "level of accuracy, instead of the one in the case")
      ->check(CLI::IsMember({"preview", "default", "fine"}))
      ->type_name("LEVEL");
  command
      .add_option("--threads", options.threads,
                  "threads to use (default: one per processor); results do not depend on it")
      ->check(CLI::Range(1, most_threads))
      ->type_name("N");
  command
      .add_option(
          "--set", options.changes,
          "another value for a key of the case, \"process.fill_time=0.5 s\"; may be repeated")
      ->type_name("KEY=VALUE")
      ->allow_extra_args(false);
  command.add_flag("--json", options.json,
                   "print the numbers as JSON, the unit at the end of each name");
}

CLI::App* add_calibrate_command(CLI::App& app, CalibrateOptions& options) {
  CLI::App* command =
      add_command(app, "calibrate", "learn from trial shots, write a card", calibrate_help);
  add_calibrate_options(*command, options);
  return command;
}

void add_balance_options(CLI::App& command, BalanceOptions& options) {
  add_case_options(command, options.common,
                   "folder for the new case and both runs (default: as run, .balance)");
  command.add_flag("--metal-safe", options.metal_safe,
                   "only larger sizes: the mould is cut already");
  command.add_flag("--visible-gates", options.visible_gates,
                   "gates on parts with a visible face may change too");
  CLI::Option* vents =
      command.add_flag("--vents", options.vents, "place vents instead of changing sizes");
  command
      .add_flag(
          "--gates", options.gates,
          "place further gates where parts stay short or catch air, instead of changing sizes")
      ->excludes(vents);
  command.add_option("--aim", options.aim, "what is made least (default even)")
      ->check(CLI::IsMember({"even", "pressure", "weight"}))
      ->type_name("AIM");
  command
      .add_option("--step", options.step,
                  "sizes beside those of the cutters are multiples of this (default 0.1)")
      ->check(CLI::Range(0.01, 10.0))
      ->type_name("MM");
  command
      .add_option("--target", options.target,
                  "spread between the first and the last part nearly full, over the time of the "
                  "last (default: limits.fill_time_spread of the case)")
      ->check(CLI::Range(0.001, 1.0))
      ->type_name("SHARE");
  command.add_flag("--quiet", options.common.quiet, "no progress on standard error");
}

void add_report_options(CLI::App& command, ReportOptions& options) {
  command.add_option("results", options.results, "results folder or result.h5; several to compare")
      ->required()
      ->type_name("RESULTS");
  command
      .add_option("-o,--output", options.output,
                  "the page (default: report.html in the first results folder), or the folder of "
                  "the pictures")
      ->type_name("PATH");
  command.add_flag("--pictures", options.pictures,
                   "draw each field as PNG and PDF instead, into the folder pictures");
}

/// Complains about a missing or unknown command. @return whether there was something to complain
/// about
bool refuse_unknown_command(const CLI::App& app, int argc, const char* const* argv) {
  if (argc > 1 && argv[1][0] == '-') return false;
  std::vector<std::string> commands;
  for (const CLI::App* c : app.get_subcommands({})) commands.push_back(c->get_name());
  if (argc < 2) {
    fmt::print(stderr,
               "firstshot: no command is given; the commands are {}; see firstshot --help\n",
               fmt::join(commands, ", "));
    return true;
  }
  const std::string word = argv[1];
  if (std::find(commands.begin(), commands.end(), word) != commands.end()) return false;
  const std::string near = nearest_word(word, commands);
  fmt::print(stderr, "firstshot: there is no command \"{}\"{}; the commands are {}\n", word,
             near.empty() ? "" : fmt::format(" (\"{}\"?)", near), fmt::join(commands, ", "));
  return true;
}

}  // namespace

int run_command_line(int argc, const char* const* argv) {
  CLI::App app(program_help, "firstshot");
  app.footer(program_footer);
  app.set_version_flag("--version", std::string("firstshot ") + version_text);
  app.require_subcommand(1);
  app.get_formatter()->label("SUBCOMMAND", "COMMAND");

  CaseOptions check_options, run_options;
  CLI::App* check =
      add_command(app, "check", "build the model, print its figures, solve nothing", check_help);
  add_case_options(*check, check_options,
                   "also write case.resolved.toml and section.pvd into this folder");
  CLI::App* run = add_command(app, "run", "fill the mould and write the results", run_help);
  add_case_options(*run, run_options,
                   "results folder (default: tug.results beside tug.toml or tug/case.toml)");
  run->add_flag("--resume", run_options.resume,
                "go on with a run that was stopped, from its results folder");
  run->add_flag("--strict", run_options.strict,
                "end with exit code 1 when the verdict is \"not approved\"");
  run->add_flag("--quiet", run_options.quiet, "no progress on standard error");

  BalanceOptions balance_options;
  CLI::App* balance =
      add_command(app, "balance", "find sizes or vents that make the frame good", balance_help);
  add_balance_options(*balance, balance_options);

  ReportOptions report_options;
  CLI::App* report =
      add_command(app, "report", "draw the results as a page to read, print and sign", report_help);
  add_report_options(*report, report_options);

  SweepOptions sweep_options;
  CLI::App* sweep = add_command(app, "sweep", "run a case over ranges of its keys", sweep_help);
  add_sweep_options(*sweep, sweep_options);

  WindowOptions window_options;
  CLI::App* window = add_command(
      app, "window", "find the settings that give good shots, and the best of them", window_help);
  add_window_options(*window, window_options);
  CalibrateOptions calibrate_options;
  CLI::App* calibrate = add_calibrate_command(app, calibrate_options);

  MaterialOptions material_options;
  CLI::App* material =
      add_command(app, "material", "show a material card, or list the cards", material_help);
  material->add_option("card", material_options.card, "name of a card, or path of a card file")
      ->type_name("CARD");
  material->add_flag("--json", material_options.json,
                     "print the numbers as JSON, the unit at the end of each name");
  material->add_flag("--csv", material_options.csv,
                     "print the curves of viscosity [Pa s] over shear rate [1/s] as CSV");

  ExplainOptions explain_options;
  CLI::App* explain =
      add_command(app, "explain", "say what a key of the case file means", explain_help);
  explain->add_option("key", explain_options.key, "key as written in the case file, with its table")
      ->type_name("KEY");
  explain->add_flag("--json", explain_options.json, "print all keys as a JSON Schema");
  explain->add_flag("--markdown", explain_options.markdown, "print all keys as a page");

  if (refuse_unknown_command(app, argc, argv)) return exit_bad_input;
  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& asked) {  // --help and --version
    app.exit(asked);
    return exit_done;
  } catch (const CLI::ParseError& wrong) {
    fmt::print(stderr, "firstshot: {}; see firstshot --help\n", wrong.what());
    return exit_bad_input;
  }
  if (check->parsed()) return check_command(check_options);
  if (run->parsed()) return run_command(run_options);
  if (balance->parsed()) return balance_command(balance_options);
  if (sweep->parsed()) return sweep_command(sweep_options);
  if (window->parsed()) return window_command(window_options);
  if (calibrate->parsed()) return calibrate_command(calibrate_options);
  if (report->parsed()) return report_command(report_options);
  if (material->parsed()) return material_command(material_options);
  return explain_command(explain_options);
}

}  // namespace firstshot
