// Reads `result.h5` back (fields: cases/result-format.md). What is read was checked: sizes agree
// with the model, indices are in range; so a damaged file ends in an Error, never in a wrong
// picture.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "io/h5_file.hpp"
#include "io/result_h5.hpp"
#include "solver/whole/run_case.hpp"

namespace firstshot {

/// What a file says about its case.
struct StoredCase {
  std::string title, resolved_text, fingerprint, model_fingerprint, version;
  double unit_length = 0.0;  ///< of one coordinate unit of the input [m]
};

/// The records of all kept steps. @throws Error when they are missing or damaged
std::vector<StepRecord> read_steps(const H5File& file);

class ResultReader {
 public:
  /// @throws Error when there is no such file, it is no result, or of another format version
  explicit ResultReader(const std::filesystem::path& file);

  // Each function throws Error when the file is damaged there.
  StoredCase stored_case() const;
  Model model() const;
  /// Kept steps, in order; numbers run from 1 without gaps.
  std::vector<StepRecord> steps() const;
  /// Fields of a kept step, as rounded to 32 bits in the file (n_nodes).
  NodeFields fields(int number) const;
  std::vector<HistoryEntry> history() const;
  /// Where to resume, bit for bit; nothing in a file without a checkpoint.
  std::optional<Restart> checkpoint() const;
  /// Nothing while a run goes on, or after it was killed.
  std::optional<Result> result() const;
  /// Text of summary.json; empty without a result.
  std::string summary() const;

 private:
  H5File file_;
  std::size_t n_nodes_ = 0, n_triangles_ = 0, n_lines_ = 0;
};

}  // namespace firstshot
