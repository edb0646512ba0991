// What a sweep runs: axes over keys of a case → the value of each key in each run.
//
//   case = "case.toml"              # relative to this file
//   accuracy = "preview"            # optional
//   combine = "grid"                # or "list": the first values of all axes, the second, …
//   [[axis]]
//   key = "process.melt_temperature"
//   from = "200 degC"
//   to = "240 degC"
//   points = 5                      # ends included
//   spacing = "even"                # or "ratio": equal factors from value to value
//   [[axis]]
//   key = "layout.gate[g-deck].width"
//   values = ["0.8 mm", "1.0 mm"]
//   [latin_hypercube]               # instead of a grid; axes with from and to have no points then
//   runs = 40
//   seed = 1
//
// On the command line: "process.melt_temperature=200 degC..240 degC:5", "process.fill_time=0.4 s,
// 0.6 s"; "0.2 s..2 s:5 ratio" for equal factors.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/case_override.hpp"

namespace firstshot {

enum class AxisSpacing { even, ratio };

/// Values of one key: as listed, or from a range.
struct SweepAxis {
  std::string key;
  std::vector<std::string> values;  ///< as written; empty: the range
  std::string from, to;
  int points = 0;  ///< of a grid over the range, 0: none given
  AxisSpacing spacing = AxisSpacing::even;
};

enum class SweepCombination { grid, list };

struct SweepRequest {
  std::filesystem::path case_file;
  std::string accuracy;  ///< empty: as in the case
  std::vector<SweepAxis> axes;
  SweepCombination combine = SweepCombination::grid;
  std::optional<int> sample;  ///< runs of a Latin hypercube
  std::uint64_t seed = 1;
};

/// The runs, ready to store: run i sets keys[k] to values[i][k].
struct SweepPlan {
  std::filesystem::path case_file;  ///< absolute
  std::string accuracy;
  std::vector<std::string> keys;
  std::vector<std::vector<std::string>> values;
  bool keep_all = false;   ///< whole results folders, not only summary.json
  std::string input_mark;  ///< fingerprint of the case and of all files that it names
  std::size_t size() const { return values.size(); }
  std::vector<CaseOverride> changes(std::size_t run) const;
};

/// Most runs of one sweep.
inline constexpr std::size_t most_sweep_runs = 100000;

/// Whether a TOML file is a sweep file (it names a case) and not a case. @throws CaseError no TOML
bool is_sweep_file(const std::filesystem::path& file);
/// @throws CaseError with file, line, key
SweepRequest read_sweep_file(const std::filesystem::path& file);
/// An axis of the command line. @throws Error with what is wrong and what is allowed
SweepAxis axis_from(std::string_view text);

/// Text of a number [SI] as a value of a key, to 9 digits.
std::string written_value(const KeySpec& spec, double value);
/// Value of a range at t in 0 … 1 of it, as text.
std::string axis_value(const SweepAxis& axis, double t);

/// @throws Error unknown key, wrong unit or range, lists of different length, too many runs
SweepPlan make_plan(const SweepRequest& request);

/// As JSON, and back. @throws Error the text is no plan
std::string plan_text(const SweepPlan& plan);
SweepPlan plan_from(const std::string& text, const std::string& shown);

}  // namespace firstshot
