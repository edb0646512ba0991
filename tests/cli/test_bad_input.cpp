// Every kind of bad input through the whole program: one clear error, exit code 2, and no file.
#include <filesystem>

#include <catch2/catch.hpp>
#include <unistd.h>

#include "tests/cli/run_program.hpp"
#include "tests/cli/small_case.hpp"

namespace firstshot::test {
namespace {

using Catch::Matchers::Contains;

/// The case of two plates with one piece of its text changed.
std::string with(const std::string& from, const std::string& to) {
  std::string text = small_case();
  const std::size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

std::string with_piece(const std::string& piece) {
  return with("[material]", piece + "[material]");
}

/// The program refuses `text` with one error that says `says`, and leaves no results.
void check_refused(const char* what, const std::string& text, const std::string& says) {
  INFO(what);
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", text);
  const std::string out = (folder.path() / "out").string();
  const ProgramOutput p = run_program({"run", file, "-o", out, "--accuracy", "preview"});
  INFO(p.err);
  CHECK(p.exit_code == 2);
  CHECK(p.out.empty());
  CHECK_THAT(p.err, Catch::StartsWith("firstshot: " + file) && Contains(says));
  CHECK(p.err.find("firstshot: ", 1) == std::string::npos);
  CHECK_FALSE(std::filesystem::exists(out));
}

}  // namespace

TEST_CASE("bad input of every kind ends with 2, one error and no results", "[cli]") {
  const std::string plate = "polygon = [[11, -8], [31, -8], [31, 8], [11, 8]]";
  const std::string thick = "name = \"small\"\nthickness = \"1.5 mm\"";
  const auto thickness = [&](const char* value) {
    return with(thick, std::string("name = \"small\"\nthickness = ") + value);
  };
  const auto part = [](const char* centre) {
    return with_piece(
        "[[layout.part]]\nname = \"more\"\nthickness = \"1 mm\"\nrectangle = { centre = " +
        std::string(centre) + ", size = [6, 6] }\n");
  };
  check_refused("empty file", "", "the file is empty");
  check_refused("wrong type", small_case("fill_time = true"), ":38:13: process.fill_time: true");
  check_refused("missing unit", small_case("fill_time = 0.5"), "a bare number is not allowed here");
  check_refused("wrong dimension", small_case("fill_time = \"0.5 s\"\nmelt_temperature = \"2 mm\""),
                "is the unit of a length, but a temperature belongs here");
  check_refused("negative thickness", thickness("\"-1 mm\""), "\"-1 mm\" is out of range");
  check_refused("NaN thickness", thickness("\"nan mm\""), "does not begin with a finite number");
  check_refused("self-crossing outline",
                with(plate, "polygon = [[11, -8], [31, -8], [11, 8], [31, 8]]"),
                "part \"small\": the outline crosses itself");
  check_refused("part not connected", part("[0, 60]"), "\"more\" is not reached");
  check_refused("overlap", part("[25, 0]"), "overlap");
  check_refused("injection off the frame", with("at = [0, 0]", "at = [0, 30]"),
                "the sprue is off the frame");
  check_refused("gate that touches nothing", with("to = [11, 0]", "to = [10.6, 0]"),
                "gate \"g-small\" touches nothing at its end");
  check_refused("zero-length runner", with("[[0, 0], [10, 0]]", "[[0, 0], [0, 0]]"),
                "this point is the same as the one before");
  check_refused("card out of range",
                small_case("fill_time = \"0.5 s\"\nmelt_temperature = \"310 degC\""),
                "lies outside the valid range of the material card; allowed: from 180 degC");
}

TEST_CASE("what cannot be read or written ends with 2 and its name", "[cli]") {
  const TemporaryFolder folder;
  const std::string file = folder.file("a.toml", small_case());
  const std::string folder_name = folder.path().string();
  CHECK_THAT(run_program({"check", folder_name}).err, Contains(folder_name + ": this is a folder"));
  // A file where the results folder should be.
  const ProgramOutput taken = run_program({"run", file, "-o", folder.file("taken", "x")});
  CHECK(taken.exit_code == 2);
  CHECK_THAT(taken.err, Contains("cannot make the results folder"));
  if (geteuid() == 0) return;  // for root every folder can be written
  const std::filesystem::path closed = folder.path() / "closed";
  std::filesystem::create_directory(closed);
  std::filesystem::permissions(closed, std::filesystem::perms::owner_read);
  const ProgramOutput denied = run_program({"run", file, "-o", (closed / "out").string()});
  CHECK(denied.exit_code == 2);
  CHECK_THAT(denied.err, Contains("Permission denied"));
  std::filesystem::permissions(closed, std::filesystem::perms::owner_all);
}

}  // namespace firstshot::test
