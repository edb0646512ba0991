#include "io/sweep_folder.hpp"

#include <fstream>
#include <iterator>
#include <system_error>

#include <fmt/format.h>

#include "io/atomic_file.hpp"
#include "io/build_setup.hpp"
#include "io/fingerprint.hpp"
#include "io/resolved_case.hpp"
#include "io/solid_file.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

constexpr const char* plan_name = "plan.json";
constexpr const char* summary_name = "summary.json";
constexpr const char* failed_name = "failed.txt";

std::string file_text(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  if (!in) throw Error(fmt::format("cannot read \"{}\"", file.string()));
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

void make_folder(const fs::path& folder) {
  std::error_code error;
  fs::create_directories(folder, error);
  if (error)
    throw Error(fmt::format("cannot make the folder \"{}\": {}", folder.string(), error.message()));
}

}  // namespace

SweepFolder SweepFolder::begin(const fs::path& folder, const SweepPlan& plan, bool resume) {
  const fs::path file = folder / plan_name;
  const std::string text = plan_text(plan);
  if (!fs::exists(file)) {
    if (fs::exists(folder / "runs"))
      throw Error(fmt::format("\"{}\" holds runs, but no {}; choose another folder",
                              folder.string(), plan_name));
    make_folder(folder / "runs");
    write_atomically(file, text);
    return {folder, plan};
  }
  if (file_text(file) != text) {
    const SweepPlan other = plan_from(file_text(file), file.string());
    const bool same_axes = other.keys == plan.keys && other.values == plan.values;
    throw Error(fmt::format(
        "\"{}\" holds another sweep: {}; choose another folder with -o", folder.string(),
        same_axes ? "the case or its files have changed since" : "its axes or settings differ"));
  }
  if (!resume)
    throw Error(
        fmt::format("\"{}\" holds this sweep already; go on with it by --resume, or choose "
                    "another folder with -o",
                    folder.string()));
  make_folder(folder / "runs");
  return {folder, plan};
}

SweepFolder SweepFolder::open(const fs::path& folder) {
  const fs::path file = folder / plan_name;
  if (!fs::exists(file))
    throw Error(fmt::format("\"{}\" holds no sweep: there is no {}", folder.string(), plan_name));
  return {folder, plan_from(file_text(file), file.string())};
}

fs::path SweepFolder::run_folder(std::size_t run) const {
  return folder_ / "runs" / fmt::format("{:05}", run + 1);
}

RunState SweepFolder::state(std::size_t run) const {
  const fs::path folder = run_folder(run);
  std::error_code ignored;
  if (fs::exists(folder / summary_name, ignored)) return RunState::done;
  if (fs::exists(folder / failed_name, ignored)) return RunState::failed;
  return RunState::open;
}

std::vector<std::size_t> SweepFolder::runs_in(RunState wanted) const {
  std::vector<std::size_t> runs;
  for (std::size_t i = 0; i < plan_.size(); ++i)
    if (state(i) == wanted) runs.push_back(i);
  return runs;
}

void SweepFolder::begin_run(std::size_t run) const {
  make_folder(run_folder(run));
  std::error_code ignored;
  fs::remove(run_folder(run) / failed_name, ignored);
}

void SweepFolder::write_summary(std::size_t run, const std::string& json) const {
  write_atomically(run_folder(run) / summary_name, json);
}

void SweepFolder::write_failure(std::size_t run, const std::string& reason) const {
  make_folder(run_folder(run));
  write_atomically(run_folder(run) / failed_name, reason + "\n");
}

std::string SweepFolder::failure(std::size_t run) const {
  if (state(run) != RunState::failed) return {};
  std::string text = file_text(run_folder(run) / failed_name);
  while (!text.empty() && text.back() == '\n') text.pop_back();
  return text;
}

std::string SweepFolder::summary(std::size_t run) const {
  return file_text(run_folder(run) / summary_name);
}

bool SweepFolder::can_store() const {
  try {
    const fs::path probe = temporary_name(folder_ / "probe");
    constexpr std::size_t bytes = 65536;
    write_atomically(probe, std::string(bytes, ' '));
    fs::remove(probe);
    return true;
  } catch (const std::exception&) {
    return false;
  }
}

void SweepFolder::forget_failures() const {
  for (const std::size_t run : runs_in(RunState::failed)) fs::remove(run_folder(run) / failed_name);
}

std::string input_mark(const Case& c, const CardFolders& folders) {
  const Cards cards = read_cards(c, folders);
  Fingerprint mark;
  mark.add(c.source ? c.source->text() : "");
  mark.add(c.solid ? c.solid->read->fingerprint : layout_text(c.layout));
  mark.add(cards.material_text);
  mark.add(cards.press_text);
  return mark.hex();
}

}  // namespace firstshot
