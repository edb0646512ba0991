// Sweeps on this machine, as a user starts them.
#include <filesystem>
#include <fstream>
#include <sstream>

#include <catch2/catch.hpp>
#include <signal.h>
#include <unistd.h>

#include "io/h5_file.hpp"
#include "io/sweep_folder.hpp"
#include "tests/cli/quick_case.hpp"
#include "tests/cli/run_program.hpp"

namespace firstshot::test {
namespace {

using Catch::Matchers::Contains;
namespace fs = std::filesystem;

std::string text_of(const fs::path& file) {
  std::ostringstream text;
  text << std::ifstream(file).rdbuf();
  return text.str();
}

std::vector<std::string> sweep(const std::string& file, const fs::path& out,
                               std::vector<std::string> further = {}) {
  std::vector<std::string> arguments = {"sweep", file, "-o", out.string(), "--quiet"};
  arguments.insert(arguments.end(), further.begin(), further.end());
  return arguments;
}

}  // namespace

TEST_CASE("a sweep leaves a row for each run, also for one that fails", "[cli][sweep]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", quick_case());
  const fs::path out = folder.path() / "out";
  // hips-8 may be as cold as 180 degC.
  const std::vector<std::string> axes = {"--axis",
                                         "process.melt_temperature=150 degC, 200 degC, 230 degC"};
  const ProgramOutput p = run_program(sweep(file, out, axes));
  INFO(p.out << p.err);
  CHECK(p.exit_code == 3);
  CHECK_THAT(p.out, Contains("2 of 3 runs have a result, 1 failed") && Contains("run 1") &&
                        Contains("melt_temperature"));
  const H5File series = H5File::open(out / "series.h5");
  CHECK(series.read("/axes/process.melt_temperature") ==
        std::vector<double>{423.15, 473.15, 503.15});
  CHECK(series.units("/axes/process.melt_temperature") == "K");
  CHECK(series.read_texts("/runs/state") == std::vector<std::string>{"failed", "done", "done"});
  const std::vector<double> pressure = series.read("/numbers/fill.peak_pressure_MPa");
  CHECK(series.units("/numbers/fill.peak_pressure_MPa") == "MPa");
  CHECK(std::isnan(pressure[0]));
  CHECK(pressure[1] > 1.1 * pressure[2]);  // colder melt is stiffer
  CHECK(series.has("/numbers/parts.strip.full_s"));
  CHECK_THAT(text_of(out / "series.csv"),
             Contains("process.melt_temperature") && Contains("\r\n2,done,200 degC,filled"));

  // The same again needs --resume, and then does nothing twice.
  CHECK_THAT(run_program(sweep(file, out, axes)).err, Contains("--resume"));
  const auto before = fs::last_write_time(out / "runs/00002/summary.json");
  auto again = axes;
  again.push_back("--resume");
  CHECK(run_program(sweep(file, out, again)).exit_code == 3);
  CHECK(fs::last_write_time(out / "runs/00002/summary.json") == before);
  // A lost run is done again.
  fs::remove(out / "runs/00003/summary.json");
  CHECK_THAT(run_program(sweep(file, out, again)).out, Contains("2 of 3"));
  CHECK(fs::exists(out / "runs/00003/summary.json"));
  // Another case must not be mixed in.
  folder.file("a.toml", quick_case() + "snapshots = 3\n");
  CHECK_THAT(run_program(sweep(file, out, again)).err, Contains("have changed since"));
}

TEST_CASE("a sweep says the same as a single run with that value", "[cli][sweep]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", quick_case());
  const fs::path out = folder.path() / "out";
  CHECK(
      run_program(sweep(file, out, {"--axis", "layout.part[strip].thickness=1.2 mm"})).exit_code ==
      0);
  folder.file("b.toml", [] {
    std::string text = quick_case();
    return text.replace(text.find("1.5 mm"), 6, "1.2 mm");
  }());
  const fs::path single = folder.path() / "single";
  CHECK(run_program({"run", (folder.path() / "b.toml").string(), "-o", single.string(), "--quiet"})
            .exit_code == 0);
  const std::string key = "\"peak_pressure_MPa\"";
  const std::string a = text_of(out / "runs/00001/summary.json"),
                    b = text_of(single / "summary.json");
  const auto line = [&](const std::string& text) {
    return text.substr(text.find(key), text.find('\n', text.find(key)) - text.find(key));
  };
  CHECK(line(a) == line(b));
}

TEST_CASE("a stopped sweep goes on and loses nothing", "[cli][sweep]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", quick_case());
  const fs::path out = folder.path() / "out";
  std::vector<std::string> arguments = {
      "sweep",  file, "-o",     out.string(),
      "--jobs", "1",  "--axis", "process.fill_time=0.3 s..0.6 s:20"};
  bool stopped = false;
  const ProgramOutput p = run_program(arguments, [&](int process, const std::string&) {
    if (!stopped) kill(process, SIGINT);
    stopped = true;
  });
  INFO(p.out << p.err);
  CHECK(p.exit_code == 130);
  CHECK_THAT(p.err, Contains("--resume"));
  CHECK_FALSE(fs::exists(out / "runs/00020/summary.json"));
  CHECK(fs::exists(out / "series.csv"));
  arguments.insert(arguments.end(), {"--resume", "--quiet"});
  const ProgramOutput rest = run_program(arguments);
  CHECK(rest.exit_code == 0);
  CHECK_THAT(rest.out, Contains("20 of 20 runs have a result"));
}

TEST_CASE("a sweep ends with the program it began with when that is replaced meanwhile",
          "[cli][sweep]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", quick_case());
  const fs::path program = folder.path() / "bin" / "firstshot", out = folder.path() / "out";
  fs::create_directory(program.parent_path());
  fs::copy_file(FIRSTSHOT_PROGRAM, program);
  fs::create_directory_symlink(fs::path(FIRSTSHOT_PROGRAM).parent_path() / "share",
                               program.parent_path() / "share");
  bool replaced = false;
  const ProgramOutput p = run_program_at(program,
                                         {"sweep", file, "-o", out.string(), "--jobs", "1",
                                          "--axis", "process.fill_time=0.3 s..0.6 s:6"},
                                         [&](int, const std::string&) {
                                           if (replaced) return;
                                           fs::remove(program);
                                           std::ofstream(program) << "no program";
                                           replaced = true;
                                         });
  INFO(p.out << p.err);
  CHECK(replaced);
  CHECK(p.exit_code == 0);
  CHECK_THAT(p.out, Contains("6 of 6 runs have a result"));
}

TEST_CASE("whole folders are kept when asked for, and read by the series all the same",
          "[cli][sweep]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", quick_case());
  const fs::path out = folder.path() / "out";
  const std::vector<std::string> axes = {"--axis", "process.fill_time=0.3 s, 0.5 s", "--keep-all"};
  CHECK(run_program(sweep(file, out, axes)).exit_code == 0);
  for (const char* name : {"result.h5", "summary.json", "report.html", "case.resolved.toml"})
    CHECK(fs::exists(out / "runs/00002" / name));
  CHECK(H5File::open(out / "series.h5").read("/numbers/fill.peak_pressure_MPa").size() == 2);
  // What was killed half-way goes on in its own folder.
  fs::remove(out / "runs/00002/summary.json");
  auto again = axes;
  again.push_back("--resume");
  CHECK_THAT(run_program(sweep(file, out, again)).out, Contains("2 of 2 runs have a result"));
}

TEST_CASE("runs that failed are done again only when asked for", "[cli][sweep]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", quick_case());
  const fs::path out = folder.path() / "out";
  std::vector<std::string> axes = {"--axis", "process.fill_time=0.3 s, 0.5 s", "--resume"};
  CHECK(run_program(sweep(file, out, axes)).exit_code == 0);
  fs::remove(out / "runs/00001/summary.json");
  std::ofstream(out / "runs/00001/failed.txt") << "the program broke down in this run\n";
  const ProgramOutput still = run_program(sweep(file, out, axes));
  CHECK(still.exit_code == 3);
  CHECK_THAT(still.out, Contains("1 of 2 runs have a result, 1 failed") && Contains("broke down"));
  axes.push_back("--retry-failed");
  const ProgramOutput again = run_program(sweep(file, out, axes));
  CHECK(again.exit_code == 0);
  CHECK_THAT(again.out, Contains("2 of 2 runs have a result"));
  CHECK_FALSE(fs::exists(out / "runs/00001/failed.txt"));
}

TEST_CASE("a thousand failed runs end with their reasons and a row each", "[cli][sweep][slow]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", quick_case());
  const fs::path out = folder.path() / "out";
  const std::string axis = "process.fill_time=0.3 s..0.6 s:1000";
  SweepRequest request;
  request.case_file = file;
  request.axes = {axis_from(axis)};
  SweepPlan plan = make_plan(request);
  const fs::path cards = FIRSTSHOT_SOURCE_DIR "/cases";
  plan.input_mark = input_mark(read_case(file), {{cards / "materials"}, {cards / "presses"}});
  const SweepFolder sweep_folder = SweepFolder::begin(out, plan, false);
  for (std::size_t run = 0; run < plan.size(); ++run)
    sweep_folder.write_failure(
        run, run % 10 == 0 ? "not enough memory" : "no solution at " + std::to_string(run));
  const ProgramOutput p = run_program(sweep(file, out, {"--axis", axis, "--resume"}));
  INFO(p.out << p.err);
  CHECK(p.exit_code == 3);
  CHECK_THAT(p.out, Contains("0 of 1000 runs have a result, 1000 failed:") &&
                        Contains("run 1 and 99 more: not enough memory") &&
                        Contains("and 896 other reasons, in series.csv"));
  CHECK(std::count(p.out.begin(), p.out.end(), '\n') < 12);
  const std::string table = text_of(out / "series.csv");
  CHECK(std::count(table.begin(), table.end(), '\n') == 1001);
}

TEST_CASE("wrong sweeps are refused before anything runs", "[cli][sweep]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", quick_case());
  const fs::path out = folder.path() / "out";
  const ProgramOutput unknown =
      run_program(sweep(file, out, {"--axis", "process.melt_temprature=200 degC"}));
  CHECK(unknown.exit_code == 2);
  CHECK_THAT(unknown.err, Contains("\"process.melt_temperature\""));
  CHECK(run_program(sweep(file, out)).exit_code == 2);
  CHECK(run_program({"sweep"}).exit_code == 2);
  CHECK(run_program({"sweep", (folder.path() / "none.toml").string()}).exit_code == 2);
  CHECK_FALSE(fs::exists(out));
}

TEST_CASE("a run takes another value from --set", "[cli][sweep]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", quick_case());
  const ProgramOutput p =
      run_program({"check", file, "--set", "layout.part[strip].thickness=2 mm"});
  CHECK(p.exit_code == 0);
  CHECK_THAT(p.out, Contains("2"));
  CHECK_THAT(run_program({"check", file, "--set", "process.fil_time=1 s"}).err,
             Contains("process.fill_time"));
}

}  // namespace firstshot::test
