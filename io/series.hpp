// All runs of a sweep in one table: series.h5 and series.csv.
//
//   /runs/number          from 1
//   /runs/state           "done", "failed" or "open"
//   /runs/reason          why it failed, else empty
//   /axes/KEY             value of the key [SI], or texts where it is no number
//   /written/KEY          the same as written, "220 degC"
//   /numbers/a.b          each number of summary.json, lists of parts and gates by name:
//                         "parts.deck.full_s"; NaN where a run has none. true is 1, false 0.
//   /texts/fill.outcome   how the filling ended
#pragma once

#include <filesystem>
#include <limits>
#include <map>
#include <string>
#include <vector>

#include "io/sweep_folder.hpp"

namespace firstshot {

struct Series {
  std::vector<std::string> keys;                       ///< of the axes
  std::vector<std::vector<std::string>> values;        ///< (runs, keys), as written
  std::vector<RunState> states;                        ///< (runs)
  std::vector<std::string> reasons;                    ///< (runs)
  std::vector<std::string> outcomes;                   ///< (runs)
  std::map<std::string, std::vector<double>> numbers;  ///< (runs) each; NaN: none
  std::size_t size() const { return states.size(); }
  /// NaN when no run has a number of that name.
  double number(const std::string& name, std::size_t run) const;
};

/// Reads what the runs of the folder have brought so far. A summary that cannot be read counts as a
/// run that failed.
Series collect(const SweepFolder& folder);

/// Adds the runs of another series over the same keys.
void append(Series& to, const Series& more);

/// Writes both files, each whole or not at all. @throws Error disk full, folder gone
void write_series(const Series& series, const std::filesystem::path& folder);

/// Unit at the end of a name of summary.json: "fill.peak_pressure_MPa" → "MPa"; "1" when there is
/// none.
std::string unit_of_number(const std::string& name);

}  // namespace firstshot
