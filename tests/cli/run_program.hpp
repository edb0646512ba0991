// Runs the built program as a user does and catches what it says.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace firstshot::test {

struct ProgramOutput {
  int exit_code = -1;  ///< 128 + signal when one ended it
  std::string out;     ///< standard output
  std::string err;     ///< standard error
};

/// @param watch called with the process and what it has said on standard error so far, each time it
/// says more;
///        may be empty
ProgramOutput run_program(
    const std::vector<std::string>& arguments,
    const std::function<void(int process, const std::string& err)>& watch = {});

/// The same with another program, such as a copy of the built one.
ProgramOutput run_program_at(
    const std::filesystem::path& program, const std::vector<std::string>& arguments,
    const std::function<void(int process, const std::string& err)>& watch = {});

/// A new folder that goes, with all in it, at the end.
class TemporaryFolder {
 public:
  TemporaryFolder();
  ~TemporaryFolder();
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  const std::filesystem::path& path() const { return path_; }
  /// Writes a file into the folder. @return its path
  std::string file(const std::string& name, const std::string& text) const;

 private:
  std::filesystem::path path_;
};

}  // namespace firstshot::test
