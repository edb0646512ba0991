// What each command of the program does once its arguments are known. Every function returns an
// exit code (exit_code.hpp) and prints its result on standard output; progress goes to standard
// error.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace firstshot {

struct CaseOptions {
  std::filesystem::path case_file;
  std::filesystem::path output;      ///< results folder; empty: beside the case
  std::string accuracy;              ///< level that overrides the case's; empty: as in the case
  std::vector<std::string> changes;  ///< "KEY=VALUE", instead of what the case says
  int threads = 0;                   ///< 0: one per processor
  bool json = false;
  bool quiet = false;
  bool resume = false;
  bool strict = false;  ///< exit code 1 when the verdict is "not approved"
};

/// Builds everything and solves nothing: mesh, volumes, weights, channels, notes.
int check_command(const CaseOptions& options);
/// Fills the mould and writes the results folder.
int run_command(const CaseOptions& options);

struct BalanceOptions {
  CaseOptions common;
  bool metal_safe = false;     ///< only larger sizes
  bool visible_gates = false;  ///< gates on visible parts may change too
  bool vents = false;          ///< place vents instead of changing sizes
  bool gates = false;          ///< look for places of further gates instead
  std::string aim = "even";    ///< or "pressure", "weight"
  double step = 0.1;           ///< of sizes [mm] > 0
  double target = 0.0;         ///< spread over fill time; 0: limits.fill_time_spread of the case
};
/// Finds sizes of runners and gates, or vents, or further gates, and writes the case that has them.
int balance_command(const BalanceOptions& options);

struct ReportOptions {
  std::vector<std::filesystem::path>
      results;                   ///< folders or result.h5 files; several: side by side
  std::filesystem::path output;  ///< empty: report.html, or pictures/, in the first folder
  bool pictures = false;         ///< sheets of the fields instead of the page
};
/// Writes the page of one run, or of several against each other.
int report_command(const ReportOptions& options);

struct SweepOptions {
  std::filesystem::path input;      ///< case or sweep file
  std::filesystem::path output;     ///< folder of the sweep; empty: beside the input
  std::vector<std::string> axes;    ///< "KEY=FROM..TO:POINTS" or "KEY=VALUE, VALUE"
  std::string accuracy;             ///< empty: as in the case
  bool side_by_side = false;        ///< first values of all axes, second values, …
  int sample = 0;                   ///< runs of a Latin hypercube, 0: a grid
  int seed = -1;                    ///< of the hypercube, below 0: as in the sweep file
  std::string on = "cores";         ///< or "slurm"
  int jobs = 0;                     ///< at once; 0: one per processor, or the engine's limit
  std::vector<std::string> sbatch;  ///< further options of sbatch
  int per_element = 1;              ///< runs that one element of a job array does
  bool keep_all = false;            ///< whole results folders
  bool resume = false;
  bool retry_failed = false;
  bool quiet = false;
  int element = 0;  ///< do only this run, from 1, of the sweep in `output`
};
/// Runs a case with the values of axes over its keys; all results in one series.
int sweep_command(const SweepOptions& options);

struct WindowOptions {
  SweepOptions sweep;                ///< case, axes, where and how to run
  std::vector<std::string> changes;  ///< "KEY=VALUE", instead of what the case says
  int points = 5;                    ///< of the first lattice along each axis ≥ 2
  int halvings = 3;                  ///< of each edge ≥ 0
  int shots = 40;                    ///< at the best setting with what varies, 0: none
  std::vector<std::string> varied;   ///< "KEY=FROM..TO" or "KEY=MEAN +- SD"; empty: the usual
  bool json = false;
  bool strict = false;  ///< exit code 1 when no setting is good
};
/// Finds the settings that give good shots, the best of them and how sure it is.
int window_command(const WindowOptions& options);

struct MaterialOptions {
  std::string card;  ///< name or path; empty: list the cards that come with the program
  bool json = false;
  bool csv = false;  ///< viscosity curves only
};
int material_command(const MaterialOptions& options);

struct ExplainOptions {
  std::string key;        ///< empty: list all keys
  bool json = false;      ///< all keys as a JSON Schema
  bool markdown = false;  ///< all keys as a page
};
int explain_command(const ExplainOptions& options);

}  // namespace firstshot
