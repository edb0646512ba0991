// `summary.json`: the numbers a person or a script asks for, each key with its unit as suffix; null
// where a value was not reached. Described by cases/summary.schema.json (JSON Schema 2020-12).
//
// Keys that end in _low and _high are an estimate of what the doubt of the viscosity does to the
// number beside them (viscosity_range in solver/assess/balance_figures).
#pragma once

#include <string>

#include "solver/whole/result.hpp"

namespace firstshot {

inline constexpr int summary_schema_version = 1;

/// What only the program knows about its run.
struct RunFigures {
  std::string version;  ///< of the program
  int threads = 1;
  double wall_s = 0.0;          ///< time on the clock, resumed runs: of the last part [s]
  double peak_memory_MB = 0.0;  ///< 10⁶ bytes
};

/// Largest memory that this process has used so far [10⁶ bytes].
double peak_memory_MB();  // NOLINT(readability-identifier-naming): the unit is the suffix

/// Text of the file. Names that are not UTF-8 have their wrong bytes replaced.
std::string summary_json(const Setup& setup, const Result& result, const RunFigures& run);

}  // namespace firstshot
