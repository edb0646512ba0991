#include "tools/cli/case_job.hpp"

#include <iostream>
#include <thread>

#include "io/resolved_case.hpp"
#include "io/solid_file.hpp"
#include "solver/numeric/parallel.hpp"
#include "tools/cli/card_places.hpp"
#include "tools/cli/progress.hpp"
#include "tools/cli/version.hpp"

namespace firstshot {
namespace {

/// One word of a shell; in quotes when it holds more than plain letters.
std::string shell_word(const std::string& text) {
  const char* const plain =
      "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-+=./,:%@";
  if (!text.empty() && text.find_first_not_of(plain) == std::string::npos) return text;
  std::string quoted = "'";
  for (char c : text) quoted += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return quoted + "'";
}

}  // namespace

Case changed_case(const CaseOptions& options, const std::function<void(double)>& progress) {
  std::vector<CaseOverride> changes;
  for (const std::string& text : options.changes) changes.push_back(override_from(text));
  Case c = read_case(options.case_file, changes, progress);
  if (!options.accuracy.empty()) set_accuracy_level(c, options.accuracy);
  return c;
}

namespace {

void take_threads(const CaseOptions& options) {
  set_thread_count(options.threads > 0 ? options.threads
                                       : static_cast<int>(std::thread::hardware_concurrency()));
}

}  // namespace

BuiltSetup build_case(const CaseOptions& options) {
  take_threads(options);
  BuildMonitor monitor(std::cerr, progress_style(options.quiet || options.json));
  return build_case(options,
                    changed_case(options, [&](double share) { monitor.show("reading", share); }));
}

BuiltSetup build_case(const CaseOptions& options, const Case& c) {
  take_threads(options);
  BuildMonitor monitor(std::cerr, progress_style(options.quiet || options.json));
  return build_setup(c, program_card_folders(),
                     [&](const std::string& step, double share) { monitor.show(step, share); });
}

std::filesystem::path results_folder_of(const CaseOptions& options) {
  if (!options.output.empty()) return options.output;
  const std::filesystem::path file =
      std::filesystem::absolute(options.case_file).lexically_normal();
  const std::filesystem::path folder = file.parent_path();
  const bool is_whole_folder = file.filename() == "case.toml" && folder.has_filename();
  std::filesystem::path results = is_whole_folder ? folder : folder / file.stem();
  return results += ".results";
}

std::string resume_command(const CaseOptions& options, const std::filesystem::path& folder) {
  std::string line = "firstshot run " + shell_word(options.case_file.string()) + " --resume -o " +
                     shell_word(folder.string());
  if (!options.accuracy.empty()) line += " --accuracy " + options.accuracy;
  for (const std::string& change : options.changes) line += " --set " + shell_word(change);
  return line;
}

CaseRecord case_record(const BuiltSetup& built) {
  CaseRecord record;
  record.title = built.setup.title;
  record.resolved_text = resolved_case_text(built);
  record.inputs = {built.material_card_text, built.press_card_text};
  if (built.resolved.solid) record.inputs.push_back(built.resolved.solid->read->fingerprint);
  record.material_text = built.material_card_text;
  record.version = version_text;
  record.unit_length = unit_length(built.resolved);
  return record;
}

}  // namespace firstshot
