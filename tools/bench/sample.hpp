// Repeated measurements: run a piece of work several times, keep the median and the spread.
#pragma once

#include <functional>
#include <string>
#include <vector>

namespace firstshot::bench {

/// Seconds of each of several runs of one piece of work.
struct Sample {
  std::vector<double> seconds;  ///< at least 1

  double median() const;  ///< [s]
  /// (slowest - fastest) / median [-]: how far to trust the median.
  double spread() const;
};

/// Runs `work` once to warm up and then `runs` ≥ 1 times against the clock.
Sample measure(int runs, const std::function<void()>& work);

/// One line of the table.
struct Row {
  std::string what;
  std::string value;    ///< with its unit
  double spread = 0.0;  ///< [-]
  std::string against;  ///< ratio to a reference of the same run, may be empty
};

/// "1.23 s", "45.6 ms" or "789 us", three digits.
std::string time_text(double seconds);

/// The rows under one head, columns aligned.
std::string table_text(const std::vector<Row>& rows);

}  // namespace firstshot::bench
