#include <fmt/format.h>

#include "io/resolved_case.hpp"
#include "io/section_view.hpp"
#include "mesh/error.hpp"
#include "solver/assess/frame_figures.hpp"
#include "solver/assess/frame_notes.hpp"
#include "tools/cli/case_job.hpp"
#include "tools/cli/commands.hpp"
#include "tools/cli/exit_code.hpp"
#include "tools/cli/frame_report.hpp"

namespace firstshot {
namespace {

void write_case(const BuiltSetup& built, const std::filesystem::path& folder) {
  std::error_code failed;
  std::filesystem::create_directories(folder, failed);
  if (failed) throw Error("cannot make the folder " + folder.string() + ": " + failed.message());
  write_resolved_case(built, folder);
  write_section_view(built, folder);
}

}  // namespace

int check_command(const CaseOptions& options) {
  const BuiltSetup built = build_case(options);
  FrameReport report;
  report.figures = frame_figures(built.setup.model, built.setup.material.density_melt);
  report.gates = gate_sizes(built);
  report.notes = frame_notes(built.setup, report.figures);
  for (const std::string& text : built.notes) report.notes.push_back({"settings", text, ""});
  const auto print = options.json ? frame_json : frame_text;
  fmt::print("{}", print(built.setup, report));
  if (!options.output.empty()) write_case(built, options.output);
  return exit_done;
}

}  // namespace firstshot
