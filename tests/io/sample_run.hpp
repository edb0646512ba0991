// A small frame and made-up values on it, for tests of files: a sprue, a runner and a gate feed one
// part; a second part is never reached.
#pragma once

#include <filesystem>
#include <string>

#include "io/result_h5.hpp"
#include "mesh/error.hpp"
#include "solver/whole/result.hpp"
#include "tests/refusal.hpp"

namespace firstshot::sample {

/// Names that trip careless writers: markup, quotes, letters beyond ASCII.
inline const std::string odd_name = "<script>alert(\"1 & 2\")</script> 'Ärmel' 船";

/// @param with_channels false: triangles only
Model model(bool with_channels = true);
Setup setup(bool with_channels = true);
/// A state that depends on `step`, with awkward bits: tiny, huge, negative zero, thirds.
State state(const Setup& setup, int step);
std::vector<HistoryEntry> history(int steps);
/// Fields that depend on `step`; the second part is not reached.
NodeFields fields(const Model& model, int step);
Result result(const Setup& setup, int step, Outcome outcome);
CaseRecord record();

/// A new folder that goes with the object.
class TemporaryFolder {
 public:
  TemporaryFolder();
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  ~TemporaryFolder();
  const std::filesystem::path& path() const { return path_; }
  std::filesystem::path operator/(const std::string& name) const { return path_ / name; }

 private:
  std::filesystem::path path_;
};

std::string read_text(const std::filesystem::path& file);
void write_text(const std::filesystem::path& file, const std::string& text);

/// While it lives, no file of this process can grow beyond `bytes`: writing fails as on a full
/// disk.
class FileSizeLimit {
 public:
  explicit FileSizeLimit(unsigned long bytes);
  FileSizeLimit(const FileSizeLimit&) = delete;
  FileSizeLimit& operator=(const FileSizeLimit&) = delete;
  ~FileSizeLimit();

 private:
  unsigned long before_;
  void (*handler_)(int);
};

/// Message of the Error that `action` throws; empty when it throws none.
template <class Action>
std::string error_of(Action&& action) {
  return test::refusal_of(action);
}

}  // namespace firstshot::sample
