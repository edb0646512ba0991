// Writes `result.h5`: the case, the model, the kept steps, the record, a checkpoint and the result,
// in SI. Every field is listed in cases/result-format.md; io/result_reader reads it back.
//
// Killed at any moment, a run leaves a whole file. What only grows (case, model, steps) goes to a
// working file beside it, `result.h5.part`. write_checkpoint and write_result copy the working
// file, add the rest to the copy, force it to the disk and rename it over `result.h5`. So
// `result.h5` always holds steps and checkpoint of one moment, and no room is lost to outdated
// checkpoints. The working file goes when the writer does; a killed run leaves it, and the next run
// overwrites it.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "io/node_field_names.hpp"
#include "solver/stage/state.hpp"
#include "solver/whole/result.hpp"

namespace firstshot {

/// Text in the file's attribute `format`, and the version of what cases/result-format.md describes.
inline constexpr const char* result_format = "firstshot-result";
inline constexpr int result_format_version = 1;

/// What was run, as text.
struct CaseRecord {
  std::string title;
  std::string resolved_text;  ///< the case with every default written out
  std::vector<std::string>
      inputs;                 ///< content of the files that the case names; hashed, not stored
  std::string version;        ///< of the program
  double unit_length = 1e-3;  ///< of one coordinate unit of the input [m]
  std::string material_text;  ///< of its card, with the sources of the numbers
};
/// Mark of a case and its inputs (see io/fingerprint).
std::string case_fingerprint(const CaseRecord& record);

/// Numbers of one kept step.
struct StepRecord {
  int number = 0;                   ///< of the kept steps, from 1
  std::int64_t step = 0;            ///< of the solver
  double time = 0.0;                ///< [s]
  double injected = 0.0;            ///< [m³]
  double injection_pressure = 0.0;  ///< [Pa]
  double flow_rate = 0.0;           ///< [m³/s]
  double filled_fraction = 0.0;     ///< [-]
  double opening_force = 0.0;       ///< [N]
  bool operator==(const StepRecord&) const = default;
};
/// @param number of this step among the kept ones
StepRecord step_record(const Snapshot& snapshot, int number);
/// Group of a kept step: "/steps/000012/".
std::string step_group(int number);

class ResultFile {
 public:
  /// Begins a file; it is on the disk, without steps, when this returns. An old file is replaced.
  /// @throws Error, as every function here, when the disk is full or the folder cannot be written
  static ResultFile create(const std::filesystem::path& file, const CaseRecord& record,
                           const Model& model);
  /// Goes on with a file that an earlier run left; its steps stay. @throws Error when it is no
  /// result file
  static ResultFile resume(const std::filesystem::path& file);

  ResultFile(ResultFile&& other) noexcept;
  ResultFile& operator=(ResultFile&&) = delete;
  ~ResultFile();

  /// Adds a kept step; it shows in the file from the next checkpoint on.
  void append_step(const StepRecord& record, const NodeFields& fields);
  /// Brings the file up to date: the steps so far, the record and where to resume.
  void write_checkpoint(const State& state, const std::vector<HistoryEntry>& history);
  /// Brings the file up to date for the last time. @param summary text of summary.json
  void write_result(const Result& result, const std::string& summary);

 private:
  explicit ResultFile(std::filesystem::path file);
  template <class AddRest>
  void publish(AddRest&& add_rest);

  std::filesystem::path file_;
  std::filesystem::path working_;
};

}  // namespace firstshot
