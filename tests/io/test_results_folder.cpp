#include <cmath>
#include <set>

#include <catch2/catch.hpp>

#include "io/result_reader.hpp"
#include "io/results_folder.hpp"
#include "tests/io/sample_run.hpp"
#include "tests/threads/with_threads.hpp"

using namespace firstshot;
using Catch::Matchers::Contains;
using sample::error_of;

namespace {

constexpr int last_step = 9;
const RunFigures run{"1.2.3", 2, 1.5, 100.0};
constexpr double any_share = 1e9;
constexpr ResultsOptions each_step{false, 0.0, any_share};
constexpr ResultsOptions go_on{true, 0.0, any_share};

/// Plays a run of made-up states up to `end`; every third step is one to keep.
void play(ResultsFolder& folder, const Setup& setup, int end) {
  const int begin = folder.restart() ? static_cast<int>(folder.restart()->state.step) : 0;
  for (int step = begin + 1; step <= end; ++step) {
    const State state = sample::state(setup, step);
    const std::vector<HistoryEntry> history = sample::history(step);
    folder.on_snapshot({setup, state, history, step % 3 == 0});
  }
}

void run_whole(const std::filesystem::path& path, const Setup& setup) {
  ResultsFolder folder(path, sample::record(), setup, each_step);
  play(folder, setup, last_step);
  folder.finish(sample::result(setup, last_step, Outcome::frozen), run);
}

std::set<std::string> files(const std::filesystem::path& folder) {
  std::set<std::string> out;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder))
    if (entry.is_regular_file())
      out.insert(std::filesystem::relative(entry.path(), folder).string());
  return out;
}

const std::set<std::string> whole_list{"fill.pvd",
                                       "result.h5",
                                       "steps/fill_0001.vtu",
                                       "steps/fill_0002.vtu",
                                       "steps/fill_0003.vtu",
                                       "steps/runners_0001.vtp",
                                       "steps/runners_0002.vtp",
                                       "steps/runners_0003.vtp",
                                       "summary.json",
                                       "weld_lines.vtp"};

void check_same(const std::filesystem::path& a, const std::filesystem::path& b) {
  CHECK(files(a) == files(b));
  for (const std::string& name : files(a)) {
    INFO(name);
    if (name != "result.h5") CHECK(sample::read_text(a / name) == sample::read_text(b / name));
  }
  const ResultReader first(a / "result.h5"), second(b / "result.h5");
  CHECK(first.steps() == second.steps());
  for (const StepRecord& step : first.steps())
    CHECK(first.fields(step.number).pressure == second.fields(step.number).pressure);
  REQUIRE((first.checkpoint() && second.checkpoint()));
  CHECK(first.checkpoint()->state == second.checkpoint()->state);
  CHECK(first.summary() == second.summary());
}

}  // namespace

TEST_CASE("a run leaves exactly the files that are promised", "[io][results_folder]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  run_whole(folder / "made/by us", setup);
  CHECK(files(folder / "made/by us") == whole_list);
  const ResultReader reader(folder / "made/by us/result.h5");
  CHECK(reader.steps().size() == 3);
  CHECK(reader.result()->outcome == Outcome::frozen);
  CHECK(reader.summary() == sample::read_text(folder / "made/by us/summary.json"));
}

TEST_CASE("the end of a run is kept even when it is no step to keep", "[io][results_folder]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  ResultsFolder results(folder.path(), sample::record(), setup, each_step);
  play(results, setup, 4);
  results.finish(sample::result(setup, 4, Outcome::filled), run);
  const std::vector<StepRecord> steps = ResultReader(folder / "result.h5").steps();
  REQUIRE(steps.size() == 2);
  CHECK(steps.back().step == 4);
}

TEST_CASE("a run interrupted and resumed leaves the same files as one never stopped",
          "[io][results_folder]") {
  const int stop = GENERATE(1, 3, 5, 6);
  const sample::TemporaryFolder whole, resumed;
  const Setup setup = sample::setup();
  run_whole(whole.path(), setup);
  {
    ResultsFolder folder(resumed.path(), sample::record(), setup, each_step);
    CHECK(folder.restart() == nullptr);
    play(folder, setup, stop);
    folder.finish(sample::result(setup, stop, Outcome::interrupted), run);
  }
  {
    ResultsFolder folder(resumed.path(), sample::record(), setup, go_on);
    REQUIRE(folder.restart() != nullptr);
    CHECK(folder.restart()->state == sample::state(setup, stop));
    CHECK_FALSE(folder.already_finished());
    play(folder, setup, last_step);
    folder.finish(sample::result(setup, last_step, Outcome::frozen), run);
  }
  check_same(whole.path(), resumed.path());
}

TEST_CASE("a run that ended without a word and is resumed leaves the same files",
          "[io][results_folder]") {
  const sample::TemporaryFolder whole, resumed;
  const Setup setup = sample::setup();
  run_whole(whole.path(), setup);
  {
    // The last checkpoint comes before the last files for the viewer.
    ResultsFolder folder(resumed.path(), sample::record(), setup, each_step);
    play(folder, setup, 4);
    const std::string checkpoint = sample::read_text(resumed / "result.h5");
    play(folder, setup, 7);
    sample::write_text(resumed / "result.h5", checkpoint);
    sample::write_text(resumed / "result.h5.part", "half");
    sample::write_text(resumed / "summary.json.123.tmp", "half");
    std::filesystem::remove(resumed / "steps/fill_0001.vtu");
  }
  {
    ResultsFolder folder(resumed.path(), sample::record(), setup, go_on);
    CHECK(folder.restart()->state.step == 4);
    CHECK(std::filesystem::exists(resumed / "steps/fill_0001.vtu"));
    play(folder, setup, last_step);
    folder.finish(sample::result(setup, last_step, Outcome::frozen), run);
  }
  std::filesystem::remove(whole / "steps/fill_0001.vtu");  // drawn again from 32-bit fields
  std::filesystem::remove(resumed / "steps/fill_0001.vtu");
  check_same(whole.path(), resumed.path());
}

TEST_CASE("files written beside the solution are the same", "[io][results_folder]") {
  const sample::TemporaryFolder one, two;
  const Setup setup = sample::setup();
  run_whole(one.path(), setup);
  test::with_threads(2, [&] { run_whole(two.path(), setup); });
  check_same(one.path(), two.path());
}

TEST_CASE("a disk that fills up while files are written beside the solution is told",
          "[io][results_folder][limit]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  const std::string message = test::with_threads(2, [&] {
    ResultsFolder results(folder.path(), sample::record(), setup, each_step);
    const sample::FileSizeLimit limit(5000);
    return error_of([&] {
      play(results, setup, last_step);
      results.finish(sample::result(setup, last_step, Outcome::frozen), run);
    });
  });
  CHECK_THAT(message, Contains("cannot write") && Contains("File too large"));
}

TEST_CASE("a step that is shown again, also after resuming, is kept once", "[io][results_folder]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  const State state = sample::state(setup, 3);
  const std::vector<HistoryEntry> history = sample::history(3);
  for (const ResultsOptions& options : {each_step, go_on}) {
    ResultsFolder results(folder.path(), sample::record(), setup, options);
    for (int i = 0; i < 2; ++i) results.on_snapshot({setup, state, history, true});
  }
  CHECK(ResultReader(folder / "result.h5").steps().size() == 1);
}

TEST_CASE("resuming a run that ended by itself says so", "[io][results_folder]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  run_whole(folder.path(), setup);
  const ResultsFolder results(folder.path(), sample::record(), setup, go_on);
  CHECK(results.already_finished());
  CHECK(results.restart()->state.step == last_step);
}

TEST_CASE("resuming in an empty folder begins", "[io][results_folder][limit]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  const ResultsFolder results(folder.path(), sample::record(), setup, go_on);
  CHECK(results.restart() == nullptr);
}

TEST_CASE("resuming another case, another geometry or another version is refused",
          "[io][results_folder]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  run_whole(folder.path(), setup);
  const auto refused = [&](const CaseRecord& record, const Setup& with) {
    return error_of([&] { ResultsFolder(folder.path(), record, with, go_on); });
  };
  CaseRecord record = sample::record();
  record.resolved_text += "#";
  CHECK_THAT(refused(record, setup), Contains("the case has changed"));
  record = sample::record();
  record.inputs = {"unit = \"cm\"\n"};
  CHECK_THAT(refused(record, setup), Contains("the case has changed"));
  Setup thicker = setup;
  thicker.model.thickness[TriId{0}] *= 1.01;
  CHECK_THAT(refused(sample::record(), thicker), Contains("the geometry has changed"));
  record = sample::record();
  record.version = "1.2.4";
  CHECK_THAT(refused(record, setup), Contains("version 1.2.3") && Contains("version 1.2.4"));
  CHECK(files(folder.path()) == whole_list);
}

TEST_CASE("a new run replaces the old one and touches no other file", "[io][results_folder]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  run_whole(folder.path(), setup);
  for (const char* name : {"notes.txt", "steps/fill_view.vtu", "steps/notes.txt", "fill_0001.vtu"})
    sample::write_text(folder / name, "mine");
  sample::write_text(folder / "report.html", "of the old run");
  {
    const ResultsFolder results(folder.path(), sample::record(), setup, each_step);
    CHECK(files(folder.path()) == std::set<std::string>{"fill.pvd", "fill_0001.vtu", "notes.txt",
                                                        "result.h5", "result.h5.part",
                                                        "steps/fill_view.vtu", "steps/notes.txt"});
  }
  CHECK(sample::read_text(folder / "notes.txt") == "mine");
}

TEST_CASE("files of our names that are not ours stop the run", "[io][results_folder]") {
  const std::string name = GENERATE("result.h5", "summary.json", "fill.pvd", "report.html");
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  sample::write_text(folder / name, "mine");
  const std::string message =
      error_of([&] { ResultsFolder(folder.path(), sample::record(), setup, each_step); });
  CHECK_THAT(message, Contains(name) && Contains("choose another results folder"));
  CHECK(sample::read_text(folder / name) == "mine");
}

TEST_CASE("a folder that cannot be made is named with the reason", "[io][results_folder]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  sample::write_text(folder / "file", "mine");
  CHECK_THAT(error_of([&] { ResultsFolder(folder / "file/results", sample::record(), setup); }),
             Contains("cannot make the results folder") && Contains("file/results") &&
                 Contains("Not a directory"));
  CHECK_THAT(error_of([&] { ResultsFolder("/proc/results", sample::record(), setup); }),
             Contains("cannot make the results folder \"/proc/results\""));
}

TEST_CASE("two runs at once in one folder are refused", "[io][results_folder]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  {
    const ResultsFolder first(folder.path(), sample::record(), setup, each_step);
    CHECK_THAT(error_of([&] { ResultsFolder(folder.path(), sample::record(), setup, each_step); }),
               Contains("another run is writing"));
  }
  CHECK(
      error_of([&] { ResultsFolder(folder.path(), sample::record(), setup, each_step); }).empty());
}

TEST_CASE("a disk that fills up during a run leaves what can be resumed",
          "[io][results_folder][limit]") {
  const sample::TemporaryFolder folder;
  const Setup setup = sample::setup();
  std::string message;
  {
    ResultsFolder results(folder.path(), sample::record(), setup, each_step);
    play(results, setup, 4);
    const sample::FileSizeLimit limit(5000);
    message = error_of([&] {
      const State state = sample::state(setup, 5);
      results.on_snapshot({setup, state, sample::history(5), false});
    });
  }
  CHECK_THAT(message,
             Contains("cannot write") && Contains("result.h5\"") && Contains("File too large"));
  const ResultsFolder results(folder.path(), sample::record(), setup, go_on);
  REQUIRE(results.restart() != nullptr);
  CHECK(results.restart()->state == sample::state(setup, 4));
}
