// Whole runs of a small case: files, summary, stopping and going on.
#include <filesystem>
#include <fstream>
#include <sstream>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <signal.h>

#include "io/result_reader.hpp"
#include "tests/cli/run_program.hpp"
#include "tests/cli/small_case.hpp"

namespace firstshot::test {
namespace {

using Catch::Matchers::Contains;

std::vector<std::string> run_arguments(const std::string& file, const std::string& out) {
  return {"run", file, "-o", out, "--accuracy", "preview"};
}

Result stored_result(const std::string& folder) {
  return ResultReader(folder + "/result.h5").result().value();
}

std::string text_of(const std::filesystem::path& file) {
  std::ostringstream text;
  text << std::ifstream(file).rdbuf();
  return text.str();
}

}  // namespace

TEST_CASE("a run tells the result in plain words and leaves its files", "[cli][case]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", small_case());
  const std::string out = (folder.path() / "out").string();
  const ProgramOutput p = run_program(run_arguments(file, out));
  INFO(p.err);
  REQUIRE(p.exit_code == 0);
  CHECK_THAT(p.out, Contains("every cavity fills") && Contains("MPa of the melt") &&
                        Contains("hydraulic gauge") && Contains("kN") && Contains(out) &&
                        Contains("qualified setter"));
  CHECK_THAT(p.err, Contains(" % full at "));
  for (const char* name :
       {"result.h5", "fill.pvd", "summary.json", "case.resolved.toml", "report.html"})
    CHECK(std::filesystem::exists(std::filesystem::path(out) / name));

  // The page can be drawn again from the result file, to the byte.
  const std::string page = (folder.path() / "again.html").string();
  const ProgramOutput again = run_program({"report", out, "-o", page});
  CHECK(again.exit_code == 0);
  CHECK(again.out == page + "\n");
  CHECK(text_of(page) == text_of(out + "/report.html"));
}

TEST_CASE("with --json the run prints the summary alone on standard output", "[cli][case]") {
  const TemporaryFolder folder;
  // A stiff barrel, and speed until nearly the end; the last corner is filled at holding pressure.
  const std::string file =
      folder.file("a.toml", small_case("fill_time = \"0.5 s\"\nbarrel_compressible = false\n"
                                       "switch_over = { volume = \"100 %\" }"));
  std::vector<std::string> arguments = run_arguments(file, (folder.path() / "out").string());
  arguments.insert(arguments.end(), {"--json", "--quiet"});
  const ProgramOutput p = run_program(arguments);
  REQUIRE(p.exit_code == 0);
  const auto j = nlohmann::json::parse(p.out);
  CHECK(j.at("fill").at("time_s").get<double>() == Approx(0.5).epsilon(0.15));
  CHECK(p.err.find(" % full at ") == std::string::npos);
}

TEST_CASE("the default results folder stands beside the case", "[cli][case]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("plates.toml", small_case());
  REQUIRE(run_program({"run", file, "--accuracy", "preview"}).exit_code == 0);
  CHECK(std::filesystem::exists(folder.path() / "plates.results" / "result.h5"));
}

TEST_CASE("a run stopped by Ctrl-C and resumed gives the same bits as one never stopped",
          "[cli][case]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", small_case());
  const std::string whole = (folder.path() / "whole").string();
  const std::string parts = (folder.path() / "parts").string();
  REQUIRE(run_program(run_arguments(file, whole)).exit_code == 0);

  bool sent = false;
  const ProgramOutput stopped =
      run_program(run_arguments(file, parts), [&](int process, const std::string& err) {
        if (!sent && err.find(" % full at ") != std::string::npos)
          sent = kill(process, SIGINT) == 0;
      });
  INFO(stopped.err);
  REQUIRE(stopped.exit_code == 130);
  CHECK_THAT(stopped.err, Contains(" --resume -o " + parts + " --accuracy preview\n"));
  CHECK(stored_result(parts).outcome == Outcome::interrupted);
  const auto steps_when_stopped = stored_result(parts).state.step;

  std::vector<std::string> resume = run_arguments(file, parts);
  resume.push_back("--resume");
  REQUIRE(run_program(resume).exit_code == 0);
  const Result a = stored_result(whole), b = stored_result(parts);
  CHECK(steps_when_stopped < a.state.step);
  CHECK(a.state == b.state);
  CHECK(a.history.size() == b.history.size());
  CHECK(a.fill_time == b.fill_time);
  CHECK(a.peak_pressure == b.peak_pressure);

  const ProgramOutput again = run_program(resume);
  CHECK(again.exit_code == 0);
  CHECK_THAT(again.err, Contains("already ended"));
}

TEST_CASE("the resolved case runs again to the same bits", "[cli][case]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", small_case());
  const std::string first = (folder.path() / "first").string();
  const std::string second = (folder.path() / "second").string();
  REQUIRE(run_program(run_arguments(file, first)).exit_code == 0);
  REQUIRE(run_program({"run", first + "/case.resolved.toml", "-o", second}).exit_code == 0);
  CHECK(stored_result(first).state == stored_result(second).state);
}

TEST_CASE("the number of threads does not change a bit", "[cli][case]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", small_case());
  std::vector<Result> results;
  for (const char* threads : {"1", "2", "8"}) {
    const std::string out = (folder.path() / threads).string();
    std::vector<std::string> arguments = run_arguments(file, out);
    arguments.insert(arguments.end(), {"--threads", threads});
    REQUIRE(run_program(arguments).exit_code == 0);
    results.push_back(stored_result(out));
  }
  CHECK(results[0].state == results[1].state);
  CHECK(results[0].state == results[2].state);
}

TEST_CASE("a short shot is a result: code 0, the part and the cause", "[cli][case]") {
  const TemporaryFolder folder;
  const std::string file = folder.file(
      "a.toml", small_case("fill_time = \"0.5 s\"\ninjection_pressure_max = \"4 MPa\""));
  const ProgramOutput p = run_program(run_arguments(file, (folder.path() / "out").string()));
  INFO(p.err);
  CHECK(p.exit_code == 0);
  CHECK_THAT(p.out, Contains("NOT FULL") && Contains("large") && Contains("NOT APPROVED") &&
                        Contains("the pressure does not suffice"));
}

TEST_CASE("with --strict the verdict is the exit code, also of a run that had ended",
          "[cli][case][verdict]") {
  const TemporaryFolder folder;
  const auto strict = [&](const std::string& name, const std::string& process) {
    std::vector<std::string> arguments = run_arguments(
        folder.file(name + ".toml", small_case(process)), (folder.path() / name).string());
    arguments.push_back("--strict");
    return arguments;
  };
  const auto good = strict("good", "fill_time = \"0.5 s\"");
  CHECK(run_program(good).exit_code == 0);
  auto bad = strict("bad", "fill_time = \"0.5 s\"\ninjection_pressure_max = \"4 MPa\"");
  CHECK(run_program(bad).exit_code == 1);
  bad.push_back("--resume");
  const ProgramOutput again = run_program(bad);
  CHECK(again.exit_code == 1);
  CHECK_THAT(again.err, Contains("already ended"));
  CHECK_THAT(again.out, Contains("NOT APPROVED") && Contains("large stays short"));
}

}  // namespace firstshot::test
