#include "io/results_folder.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <string>
#include <system_error>
#include <utility>

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include "io/air_view.hpp"
#include "io/atomic_file.hpp"
#include "io/fingerprint.hpp"
#include "io/result_reader.hpp"
#include "io/seal.hpp"
#include "io/setup_sheet.hpp"
#include "io/weld_lines_vtp.hpp"
#include "mesh/error.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

constexpr const char* result_name = "result.h5";
constexpr const char* summary_name = "summary.json";
constexpr const char* welds_name = "weld_lines.vtp";
constexpr const char* step_folder = "steps";
/// Kept steps that may wait to be written.
constexpr std::size_t steps_in_memory = 3;
/// Files that a run leaves beside result.h5.
constexpr std::array<const char*, 7> companions{"fill.pvd",       summary_name, "air_pockets.vtp",
                                                setup_sheet_name, welds_name,   "report.html",
                                                "surface.vtp"};

double seconds_since(Clock::time_point start) {
  return std::chrono::duration<double>(Clock::now() - start).count();
}

/// Makes the folder with its folder of steps. @return the folder
fs::path made(const fs::path& folder) {
  std::error_code error;
  fs::create_directories(folder / step_folder, error);
  if (error)
    throw Error("cannot make the results folder \"" + folder.string() + "\": " + error.message());
  return folder;
}

/// @throws Error when result.h5, or files of our names without it, come from elsewhere
void check_owner(const fs::path& folder) {
  const fs::path result = folder / result_name;
  const std::string advice = "; move it away or choose another results folder";
  if (fs::exists(result)) {
    try {
      check_seal(result);
      if (H5File::open(result).attribute("format") == result_format) return;
    } catch (const Error& error) {
      throw Error(error.what() + advice);
    }
    throw Error("\"" + result.string() + "\" is no result of firstshot" + advice);
  }
  for (const char* name : companions)
    if (fs::exists(folder / name))
      throw Error("\"" + (folder / name).string() + "\" stands in the way, but there is no " +
                  result_name + " beside it" + advice);
}

bool is_our_temporary(const std::string& name) {
  return is_temporary_of(name, result_name) ||
         std::any_of(companions.begin(), companions.end(),
                     [&](const char* file) { return is_temporary_of(name, file); });
}

/// A step's file, whole or left half-written by a killed run.
bool is_step_file(const std::string& name) {
  const std::string ending = ".vtu";  // as long as .vtp
  const std::size_t at = std::min(name.find(".vtu."), name.find(".vtp."));
  if (at == std::string::npos) return VtkSeries::owns(name);
  const std::string whole = name.substr(0, at + ending.size());
  return VtkSeries::owns(whole) && is_temporary_of(name, whole);
}

template <class Unwanted>
void remove_files(const fs::path& folder, Unwanted&& unwanted) {
  std::vector<fs::path> list;
  for (const fs::directory_entry& entry : fs::directory_iterator(folder))
    if (!entry.is_directory() && unwanted(entry.path().filename().string()))
      list.push_back(entry.path());
  for (const fs::path& file : list) fs::remove(file);
}

/// Removes what earlier runs left. @param old_results also their finished files
void clear(const fs::path& folder, bool old_results) {
  try {
    remove_files(folder, [&](const std::string& name) {
      const bool companion =
          std::find(companions.begin(), companions.end(), name) != companions.end();
      return is_our_temporary(name) || (old_results && companion);
    });
    if (old_results) remove_files(folder / step_folder, is_step_file);
  } catch (const fs::filesystem_error& error) {
    throw Error("cannot remove an old result \"" + error.path1().string() +
                "\": " + error.code().message());
  }
}

}  // namespace

FolderLock::FolderLock(const fs::path& folder)
    : descriptor_(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)) {
  // File systems without locks go unguarded.
  if (descriptor_ < 0 || ::flock(descriptor_, LOCK_EX | LOCK_NB) == 0 || errno != EWOULDBLOCK)
    return;
  ::close(descriptor_);
  throw Error("another run is writing to the results folder \"" + folder.string() + "\"");
}

FolderLock::~FolderLock() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

ResultsFolder::ResultsFolder(const fs::path& folder, const CaseRecord& record, const Setup& setup,
                             const ResultsOptions& options)
    : folder_(made(folder)),
      setup_(setup),
      options_(options),
      unit_length_(record.unit_length),
      lock_(folder_),
      series_(folder_, setup.model, record.unit_length),
      file_(options.resume && fs::exists(folder_ / result_name) ? resume(record) : begin(record)),
      last_checkpoint_(Clock::now()),
      tasks_(steps_in_memory) {
  kept_ = static_cast<int>(series_.steps());
  series_.write_collection();
}

ResultFile ResultsFolder::begin(const CaseRecord& record) {
  check_owner(folder_);
  clear(folder_, true);
  return ResultFile::create(folder_ / result_name, record, setup_.model);
}

ResultFile ResultsFolder::resume(const CaseRecord& record) {
  const fs::path file = folder_ / result_name;
  const ResultReader reader(file);
  const StoredCase stored = reader.stored_case();
  const std::string shown = "cannot resume from \"" + file.string() + "\": ";
  if (stored.fingerprint != case_fingerprint(record))
    throw Error(shown + "the case has changed since; run it without resuming");
  if (stored.model_fingerprint != model_fingerprint(setup_.model))
    throw Error(shown + "the geometry has changed since; run it without resuming");
  if (stored.version != record.version)
    throw Error(shown + "it was begun by version " + stored.version + ", this is version " +
                record.version + "; run it without resuming");
  restart_ = reader.checkpoint();
  if (!restart_) return begin(record);

  clear(folder_, false);
  const std::optional<Result> result = reader.result();
  already_finished_ = result && result->outcome != Outcome::interrupted;
  for (const StepRecord& step : reader.steps()) {
    series_.adopt_step(reader.fields(step.number), step.time);
    last_step_ = step.step;
  }
  return ResultFile::resume(file);
}

void ResultsFolder::keep(const Snapshot& snapshot) {
  tasks_.add([this, fields = node_fields(snapshot.setup, snapshot.state),
              record = step_record(snapshot, ++kept_)] {
    series_.add_step(fields, record.time);
    file_.append_step(record, fields);
  });
  last_step_ = snapshot.state.step;
}

void ResultsFolder::write_checkpoint(const State& state, const std::vector<HistoryEntry>& history) {
  const auto write = [this](const State& of_state, const std::vector<HistoryEntry>& of_history) {
    const Clock::time_point start = Clock::now();
    file_.write_checkpoint(of_state, of_history);
    checkpoint_cost_ = seconds_since(start);
    last_checkpoint_ = Clock::now();
    checkpoint_waits_.store(false);
  };
  checkpoint_waits_.store(true);
  if (BackgroundTasks::beside())
    tasks_.add([write, copy = State(state), lines = std::vector(history)] { write(copy, lines); });
  else
    write(state, history);
}

void ResultsFolder::on_snapshot(const Snapshot& snapshot) {
  if (snapshot.keep && snapshot.state.step > last_step_) keep(snapshot);
  if (checkpoint_waits_.load()) return;
  const double wait =
      std::max(options_.checkpoint_interval, checkpoint_cost_ / options_.checkpoint_share);
  if (seconds_since(last_checkpoint_) >= wait) write_checkpoint(snapshot.state, snapshot.history);
}

void ResultsFolder::finish(const Result& result, const RunFigures& run) {
  if (result.outcome != Outcome::interrupted && result.state.step > last_step_)
    keep({setup_, result.state, result.history, true});
  if (result.cycle && result.cycle->opening > result.state.time)
    keep({setup_, state_at_opening(result.state, *result.cycle), result.history, true});
  const std::string summary = summary_json(setup_, result, run);
  tasks_.wait();
  file_.write_result(result, summary);
  write_atomically(folder_ / welds_name, weld_lines_vtp(result.weld_lines, unit_length_));
  write_atomically(folder_ / summary_name, summary);
  const std::string sheet = setup_sheet(setup_, result);
  if (!sheet.empty()) write_atomically(folder_ / setup_sheet_name, sheet);
  if (setup_.air.enabled)
    write_atomically(folder_ / "air_pockets.vtp", air_pockets_vtp(result, unit_length_));
}

}  // namespace firstshot
