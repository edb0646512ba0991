// What a report shows of one run, read from its result file alone, as far as that goes: each thing
// that is missing or damaged becomes a sentence, the rest is shown. Unlike io/result_reader, which
// refuses a file that it does not know in full, this one also looks into files of other versions.
//
// A file whose seal is broken is not opened (io/seal says why); its summary.json is shown when it
// lies beside it.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "io/report_blocks.hpp"
#include "io/report_fields.hpp"
#include "io/result_h5.hpp"
#include "mesh/model.hpp"
#include "solver/assess/weld_lines.hpp"

namespace firstshot {

struct ReportField {
  ShownField shown;
  bool per_triangle = false;        ///< otherwise per node
  double low = 0.0, high = 0.0;     ///< over all steps, in the shown unit
  std::vector<std::size_t> blocks;  ///< of each kept step, or a single one
};

struct ReportRun {
  std::string name;  ///< of the results folder, without the way to it
  std::string title, version, fingerprint;
  std::string resolved_text;         ///< case with every default, empty when missing
  std::string material_text;         ///< its card, empty when the file holds none
  std::string summary;               ///< text of summary.json, empty when missing
  std::vector<std::string> missing;  ///< sentences
  bool finished = false;             ///< the run has ended, and not by an interruption

  std::vector<Region> regions;
  std::vector<Channel> channels;
  std::vector<StepRecord> steps;  ///< those whose fields are shown
  std::vector<HistoryEntry> history;
  std::vector<WeldLine> weld_lines;
  std::vector<ReportField> fields;
  std::vector<ReportBlock> blocks;
  /// Indices into blocks; empty when there is no mesh. points_x, points_y [mm], triangles, region,
  /// node_of_vertex, node_x, node_y [mm], line_from, line_to, line_channel, line_start_width,
  /// line_end_width [mm].
  std::vector<std::pair<std::string, std::size_t>> mesh;
};

/// @param place a results folder or a result.h5
/// @throws Error when there is nothing to show: no such file, and no summary.json beside it
ReportRun read_report_run(const std::filesystem::path& place);

}  // namespace firstshot
