// The program as a user meets it: exit codes, where text goes, what files appear.
#include <filesystem>
#include <fstream>
#include <sstream>

#include <catch2/catch.hpp>

#include "tests/cli/run_program.hpp"
#include "tests/cli/small_case.hpp"

namespace firstshot::test {
namespace {

using Catch::Matchers::Contains;

/// The blocks of TOML in a page, in order.
std::vector<std::string> toml_blocks(const std::string& page) {
  const std::string begin = "```toml\n";
  std::vector<std::string> blocks;
  for (std::size_t at = page.find(begin); at != std::string::npos; at = page.find(begin, at)) {
    at += begin.size();
    blocks.push_back(page.substr(at, page.find("```", at) - at));
  }
  return blocks;
}

}  // namespace

TEST_CASE("help goes to standard output, names units and ends with 0", "[cli]") {
  const ProgramOutput all = run_program({"--help"});
  CHECK(all.exit_code == 0);
  CHECK(all.err.empty());
  for (const char* command : {"check", "run", "report", "material", "explain"}) {
    CHECK_THAT(all.out, Contains(command));
    const ProgramOutput one = run_program({command, "--help"});
    CHECK(one.exit_code == 0);
    CHECK(one.err.empty());
  }
  CHECK_THAT(run_program({"run", "--help"}).out,
             Contains("[MPa]") && Contains("[kN]") && Contains("[s]"));
  CHECK_THAT(run_program({"check", "--help"}).out,
             Contains("[mm]") && Contains("[mm3]") && Contains("[g]"));
  CHECK_THAT(run_program({"material", "--help"}).out, Contains("[Pa s]") && Contains("[g/10min]"));
}

TEST_CASE("the version is one line", "[cli]") {
  const ProgramOutput p = run_program({"--version"});
  CHECK(p.exit_code == 0);
  CHECK_THAT(p.out, Catch::Matchers::Matches("firstshot [0-9]+\\.[0-9]+\\.[0-9]+\n"));
}

TEST_CASE("wrong arguments end with 2 and one sentence on standard error", "[cli]") {
  const std::vector<std::pair<std::vector<std::string>, std::string>> wrong = {
      {{}, "check, run, balance, report, sweep, window, calibrate, material, explain"},
      {{"chek", "a.toml"}, "\"check\"?"},
      {{"run"}, "case is required"},
      {{"report"}, "results is required"},
      {{"report", "no-such-folder"}, "no-such-folder"},
      {{"report", "a", "b", "--pictures"}, "one run at a time"},
      {{"check", "a.toml", "--accuracy", "best"}, "preview"},
      {{"check", "a.toml", "--threads", "0"}, "--threads"},
      {{"check", "a.toml", "--nonsense"}, "--nonsense"}};
  for (const auto& [arguments, hint] : wrong) {
    const ProgramOutput p = run_program(arguments);
    INFO(p.err);
    CHECK(p.exit_code == 2);
    CHECK(p.out.empty());
    CHECK_THAT(p.err, Contains(hint));
  }
}

TEST_CASE("a case that is not there ends with 2 and its name", "[cli]") {
  const ProgramOutput p = run_program({"check", "no/such/case.toml"});
  CHECK(p.exit_code == 2);
  CHECK(p.out.empty());
  CHECK_THAT(p.err, Contains("no/such/case.toml"));
}

TEST_CASE("a misspelt key ends with 2, its line and the nearest key", "[cli]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", small_case("fil_time = \"0.5 s\""));
  const ProgramOutput p = run_program({"check", file});
  CHECK(p.exit_code == 2);
  CHECK_THAT(p.err, Contains(file + ":") && Contains("fill_time"));
}

TEST_CASE("check tells volumes, weights and channels and writes nothing", "[cli]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", small_case());
  const ProgramOutput p = run_program({"check", file, "--accuracy", "preview"});
  INFO(p.err);
  REQUIRE(p.exit_code == 0);
  // 30 x 16 x 1.5 mm and 20 x 16 x 1.5 mm
  CHECK_THAT(p.out,
             Contains("large") && Contains("720.0") && Contains("small") && Contains("480.0"));
  CHECK_THAT(p.out, Contains("g-large") && Contains("1.20 x 0.80"));
  CHECK_THAT(p.out, Contains("left") && Contains("injection point"));
  CHECK(std::distance(std::filesystem::directory_iterator(folder.path()), {}) == 1);
}

TEST_CASE("check with a folder writes the resolved case, which checks alike", "[cli]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", small_case());
  const std::string out = (folder.path() / "out").string();
  const ProgramOutput first = run_program({"check", file, "--accuracy", "preview", "-o", out});
  REQUIRE(first.exit_code == 0);
  const ProgramOutput again = run_program({"check", out + "/case.resolved.toml"});
  CHECK(again.exit_code == 0);
  CHECK(again.out == first.out);
}

TEST_CASE("a results folder that cannot be made ends with 2 and its name", "[cli]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", small_case());
  const std::string blocked = folder.file("taken", "a file, no folder");
  for (const char* command : {"check", "run"}) {
    const ProgramOutput p =
        run_program({command, file, "--accuracy", "preview", "-o", blocked + "/out"});
    CHECK(p.exit_code == 2);
    CHECK_THAT(p.err, Contains(blocked));
  }
}

TEST_CASE("material lists its cards and shows one with its sources", "[cli]") {
  const ProgramOutput list = run_program({"material"});
  CHECK(list.exit_code == 0);
  CHECK_THAT(list.out, Contains("hips-8"));
  const ProgramOutput card = run_program({"material", "hips-8"});
  CHECK(card.exit_code == 0);
  CHECK_THAT(card.out, Contains("Pa s") && Contains("g/10 min"));
  const ProgramOutput unknown = run_program({"material", "hips-9"});
  CHECK(unknown.exit_code == 2);
  CHECK_THAT(unknown.err, Contains("hips-9") && Contains("hips-8"));
}

TEST_CASE("explain tells unit and default of a key and refuses an unknown one", "[cli]") {
  const ProgramOutput key = run_program({"explain", "process.melt_temperature"});
  CHECK(key.exit_code == 0);
  CHECK_THAT(key.out, Contains("degC"));
  const ProgramOutput unknown = run_program({"explain", "process.melt_temprature"});
  CHECK(unknown.exit_code == 2);
  CHECK_THAT(unknown.err, Contains("melt_temperature"));
  const ProgramOutput list = run_program({"explain"});
  CHECK(list.exit_code == 0);
  CHECK_THAT(list.out, Contains("process.fill_time"));
}

TEST_CASE("every case that comes with the program can be built", "[cli]") {
  int cases = 0;
  for (const auto& entry : std::filesystem::directory_iterator(FIRSTSHOT_SOURCE_DIR "/cases")) {
    const std::filesystem::path file = entry.path() / "case.toml";
    if (!std::filesystem::exists(file)) continue;
    ++cases;
    const ProgramOutput p = run_program({"check", file.string(), "--accuracy", "preview"});
    INFO(p.err);
    CHECK(p.exit_code == 0);
  }
  CHECK(cases >= 5);
}

TEST_CASE("the example of the README can be built", "[cli]") {
  std::ostringstream page;
  page << std::ifstream(FIRSTSHOT_SOURCE_DIR "/README.md").rdbuf();
  const std::vector<std::string> blocks = toml_blocks(page.str());
  REQUIRE(blocks.size() >= 2);
  const TemporaryFolder folder;
  const std::string file = folder.file("case.toml", blocks[0]);
  folder.file("layout.toml", blocks[1]);
  const ProgramOutput p = run_program({"check", file, "--accuracy", "preview"});
  INFO(p.err);
  CHECK(p.exit_code == 0);
}

}  // namespace firstshot::test
