#include <filesystem>
#include <fstream>

#include <catch2/catch.hpp>

#include "io/toml_reader.hpp"
#include "tests/io/case_samples.hpp"
#include "tests/refusal.hpp"

using namespace firstshot;
namespace fs = std::filesystem;

namespace {

CaseError parse_error(const std::string& text) {
  return test::refused<CaseError>([&] { TomlFile::parse(text, "a.toml"); }).value();
}

CaseError file_error(const fs::path& path) {
  return test::refused<CaseError>([&] { TomlFile::read(path); }).value();
}

}  // namespace

TEST_CASE("every value remembers its line and column", "[io]") {
  const TomlFile file =
      TomlFile::parse("a = 1\n[t]\n  key = \"x\"\nlist = [1.5, true]\n", "a.toml");
  const TomlNode& t = *file.root().find("t");
  CHECK(file.root().find("a")->place.line == 1);
  CHECK(file.root().find("a")->place.column == 5);
  CHECK(t.entries.at(0).key == "key");
  CHECK(t.entries.at(0).place.column == 3);
  CHECK(t.find("key")->place.line == 3);
  CHECK(t.find("key")->place.column == 9);
  CHECK(t.find("list")->items.at(1).place.column == 14);
  CHECK(t.find("list")->items.at(0).number == 1.5);
}

TEST_CASE("an error shows file, line, column, key, the line itself and a caret under the value",
          "[io]") {
  const TomlFile file = TomlFile::parse("[t]\nkey = \"x\"\n", "a.toml");
  const CaseError e = file.error(file.root().find("t")->find("key")->place, "t.key", "is wrong");
  CHECK(std::string(e.what()) == "a.toml:2:7: t.key: is wrong\n  key = \"x\"\n        ^");
}

TEST_CASE("the caret stays under the value after letters of several bytes and in long lines",
          "[io]") {
  const TomlFile file = TomlFile::parse("\"\u00fc\" = 1", "a.toml", "");
  CHECK(std::string(file.error({1, 7}, "", "wrong").what()) ==
        "a.toml:1:7: wrong\n  \"\u00fc\" = 1\n        ^");
  const TomlFile wide = TomlFile::parse("a = \"" + std::string(5000, 'x') + "\"", "a.toml");
  const std::string what = wide.error({1, 3000}, "", "wrong").what();
  CHECK(what.size() < 300);
}

TEST_CASE("text that is no TOML is refused at its place", "[io]") {
  const CaseError e = parse_error("a = 1\nb = @\n");
  CHECK(e.line() == 2);
  CHECK(e.column() == 5);
  CHECK_THAT(e.reason(), Catch::Contains("not valid TOML"));
  CHECK(parse_error("a = \"\xff\xfe\"\n").line() == 1);
  CHECK_THAT(parse_error("a = 1\na = 2\n").reason(), Catch::Contains("not valid TOML"));
}

TEST_CASE("nesting bombs end in an error, not in a crash", "[io]") {
  CHECK_THAT(parse_error("a = " + std::string(100000, '[')).reason(),
             Catch::Contains("not valid TOML"));
  std::string dots = "a";
  for (int i = 0; i < 100000; ++i) dots += ".a";
  CHECK_THAT(parse_error("[" + dots + "]\n").reason(), Catch::Contains("dots"));
  CHECK_THAT(parse_error("\"x\\\"#\" = 1\n" + dots + " = 1\n").reason(), Catch::Contains("dots"));
  CHECK(parse_error("\"x\\\"#\" = 1\n" + dots + " = 1\n").line() == 2);
  CHECK_THAT(parse_error("x = { " + dots + " = 1 }\n").reason(), Catch::Contains("dots"));
  const std::string many(200, '.');
  CHECK_NOTHROW(TomlFile::parse("a = \"" + many + "\" # " + many + "\nb = '''\n" + many + "\"'''\n",
                                "a.toml"));
}

TEST_CASE("a megabyte of garbage ends in an error", "[io]") {
  std::string garbage(1u << 20u, ' ');
  unsigned seed = 1;
  for (char& c : garbage) {
    seed = seed * 1664525u + 1013904223u;
    c = static_cast<char>(seed >> 24u);
  }
  CHECK_NOTHROW(parse_error(garbage));
  CHECK_NOTHROW(parse_error(std::string(1u << 20u, '\0')));
  CHECK_NOTHROW(parse_error(std::string(1u << 20u, '"')));
}

TEST_CASE("a folder, a missing, an empty and a huge file and a device are refused by name",
          "[io]") {
  const ScratchFolder scratch("toml");
  CHECK_THAT(file_error(scratch.path()).what(), Catch::Contains("folder"));
  CHECK_THAT(file_error(scratch.path() / "no.toml").what(),
             Catch::Contains("no.toml: there is no such file"));
  CHECK_THAT(file_error("/dev/null").what(), Catch::Contains("not an ordinary file"));
  CHECK_THAT(file_error(scratch.path() / std::string(300, 'a')).what(),
             Catch::Contains("cannot be read: File name too long"));
  const fs::path empty = scratch.path() / "empty.toml";
  std::ofstream(empty) << "\n \n";
  CHECK_THAT(file_error(empty).what(), Catch::Contains("empty.toml: the file is empty"));
  const fs::path large = scratch.path() / "large.toml";
  std::ofstream(large).put('#');
  fs::resize_file(large, 100u << 20u);
  CHECK_THAT(file_error(large).what(), Catch::Contains("too large"));
}

TEST_CASE("a file without permission is refused by name", "[io]") {
  if (geteuid() == 0) return;  // root may read everything
  const ScratchFolder scratch("locked");
  const fs::path locked = scratch.path() / "locked.toml";
  std::ofstream(locked) << "a = 1\n";
  fs::permissions(locked, fs::perms::none);
  CHECK_THAT(file_error(locked).what(), Catch::Contains("permissions"));
}

TEST_CASE("a table reader converts, checks and refuses what nobody asked for", "[io]") {
  const TomlFile file = TomlFile::parse(
      "name = \"x\"\n[t]\nwidth = \"2 mm\"\nrange = [\"180 degC\", \"280 degC\"]\ncp = [[\"27 "
      "degC\", \"1200 J/(kg K)\"]]\n"
      "wdith = 3\n",
      "card.toml");
  TableReader root(file);
  CHECK(root.text("name") == "x");
  TableReader t = root.table("t");
  root.finish();
  CHECK(t.quantity("width", Dimension::length) == 2e-3);
  CHECK(t.interval("range", Dimension::temperature) == std::pair(453.15, 553.15));
  CHECK(t.quantity_pairs("cp", Dimension::temperature, Dimension::heat_capacity).at(0).second ==
        1200.0);
  CHECK(t.number_or("n", 0.25) == 0.25);
  CHECK_THROWS_WITH(t.finish(),
                    Catch::Contains("card.toml:6:1: t.wdith") && Catch::Contains("\"width\""));
  CHECK_THROWS_WITH(t.quantity("depth", Dimension::length),
                    Catch::Contains("t.depth: this key is missing"));
  CHECK_THROWS_WITH(t.quantity("width", Dimension::length, between(0.0, 1e-3)),
                    Catch::Contains("\"2 mm\" is out of range; allowed: from 0 mm to 1 mm"));
  CHECK_THROWS_WITH(t.number("width"), Catch::Contains("a number is needed"));
  CHECK_FALSE(root.table_if("nothing").has_value());
}

TEST_CASE("the nearest word is found by edit distance and not when all are far", "[io]") {
  const std::vector<std::string> words = {"thickness", "visible", "name"};
  CHECK(nearest_word("thicknes", words) == "thickness");
  CHECK(nearest_word("visibel", words) == "visible");
  CHECK(nearest_word("xyzzy", words).empty());
  CHECK(nearest_word(std::string(1000000, 'x'), words).empty());
}
