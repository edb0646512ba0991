// What check and run begin with: options → built setup, and where its results belong.
#pragma once

#include <filesystem>
#include <functional>
#include <string>

#include "io/build_setup.hpp"
#include "io/result_h5.hpp"
#include "tools/cli/commands.hpp"

namespace firstshot {

/// The case of the options with what they change in it. @throws CaseError, Error
Case changed_case(const CaseOptions& options, const std::function<void(double)>& progress = {});

/// Sets the number of threads, reads the case, takes the wanted accuracy, meshes and fills in
/// defaults.
/// @throws CaseError, GeometryError
BuiltSetup build_case(const CaseOptions& options);
/// The same of a case that has been read already, as changed_case does.
BuiltSetup build_case(const CaseOptions& options, const Case& c);

/// The folder asked for. Otherwise, beside the case: "tug/case.toml" → "tug.results", "tug.toml" →
/// "tug.results".
std::filesystem::path results_folder_of(const CaseOptions& options);

/// The line for a shell that goes on with a run: what changes the case stands in it again.
std::string resume_command(const CaseOptions& options, const std::filesystem::path& folder);

/// What the result file keeps of a case.
CaseRecord case_record(const BuiltSetup& built);

}  // namespace firstshot
