// Each kind of mistake in a case, with the line, the column and the key that the message must name.
#include <fstream>

#include <catch2/catch.hpp>

#include "io/case_keys.hpp"
#include "tests/io/case_samples.hpp"

using namespace firstshot;

namespace {

struct Mistake {
  const char* from;  // in the disc case
  const char* to;
  int line;
  int column;
  const char* key;
  const char* says;
};

void check(const Mistake& m, const std::string& text) {
  INFO(m.to);
  const auto e = error_of(replaced(text, m.from, m.to));
  REQUIRE(e);
  INFO(e->what());
  CHECK(e->line() == m.line);
  CHECK(e->column() == m.column);
  CHECK(e->key() == m.key);
  CHECK_THAT(e->what(), Catch::Contains(m.says));
}

const char* const kFill = "fill_time = \"0.8 s\"";

}  // namespace

TEST_CASE("the sample case is read without error", "[io]") { CHECK_FALSE(error_of(disc_case())); }

TEST_CASE("unknown keys are refused with the nearest known one", "[io]") {
  check({"title", "titel", 1, 1, "titel", "nearest known key is \"title\""}, disc_case());
  check({kFill, "fil_time = \"1 s\"", 14, 1, "process.fil_time", "\"fill_time\""}, disc_case());
  check({"thickness", "  thikness", 6, 3, "layout.part[1].thikness", "\"thickness\""}, disc_case());
  check({"diameter = \"100 mm\"", "diametre = \"100 mm\"", 7, 29, "layout.part[1].circle.diametre",
         "\"diameter\""},
        disc_case());
  check({kFill, "level = \"fine\"", 14, 1, "process.level", "accuracy.level"}, disc_case());
  check({"[process]", "[process]\n\"melt_temperature.x\" = 1", 14, 1, "process.melt_temperature.x",
         "unknown key"},
        disc_case());
}

TEST_CASE("a value of the wrong kind is refused with what is needed", "[io]") {
  check({"title = \"Disc\"", "title = 3", 1, 9, "title", "a text in quotes is needed"},
        disc_case());
  check({kFill, "fill_time = true", 14, 13, "process.fill_time", "a time like"}, disc_case());
  check({"[process]", "[process]\nisothermal = \"yes\"", 14, 14, "process.isothermal",
         "true or false"},
        disc_case());
  check({"[process]", "[process]\nentrance_length = \"3\"", 14, 19, "process.entrance_length",
         "a number is needed"},
        disc_case());
  check({"[process]", "[accuracy]\nlayers = 20.5\n[process]", 14, 10, "accuracy.layers",
         "a whole number"},
        disc_case());
  check({"title = \"Disc\"", "press = 3", 1, 9, "press", "a table is needed"}, disc_case());
  check({"[[layout.part]]", "[layout.part]", 4, 1, "layout.part", "[[part]]"}, disc_case());
  check({"centre = [0, 0]", "centre = 5", 7, 21, "layout.part[1].circle.centre", "a list"},
        disc_case());
  check({"centre = [0, 0]", "centre = [0, \"0\"]", 7, 25, "layout.part[1].circle.centre",
         "a number is needed"},
        disc_case());
  check({"centre = [0, 0]", "centre = [0]", 7, 21, "layout.part[1].circle.centre", "[x, y]"},
        disc_case());
}

TEST_CASE("marks of parts are refused beside a layout, which names its own", "[io]") {
  check({"[process]", "[[part]]\nname = \"disc\"\ninside = [0, 0]\n[process]", 13, 1, "part",
         "the parts of a layout have their names in the layout"},
        disc_case());
  check({"[process]", "[[part]]\nname = \"disc\"\n[process]", 13, 1, "part[1].inside",
         "missing, but needed"},
        disc_case());
}

TEST_CASE("a bare number or a wrong unit is refused with the right way to write it", "[io]") {
  check({"\"2 mm\"", "2", 6, 13, "layout.part[1].thickness",
         "write a length with its unit, like \"1.2 mm\""},
        disc_case());
  check({"\"2 mm\"", "\"2\"", 6, 13, "layout.part[1].thickness", "has no unit"}, disc_case());
  check({"\"0.8 s\"", "\"0.8 mm\"", 14, 13, "process.fill_time",
         "is the unit of a length, but a time belongs here"},
        disc_case());
  check({"\"0.8 s\"", "\"0.8 sec\"", 14, 13, "process.fill_time", "unknown unit \"sec\""},
        disc_case());
}

TEST_CASE("values out of range, NaN and infinity are refused with the range", "[io]") {
  check({"\"0.8 s\"", "\"0 s\"", 14, 13, "process.fill_time", "more than 0 s"}, disc_case());
  check({"\"0.8 s\"", "\"-1 s\"", 14, 13, "process.fill_time", "out of range"}, disc_case());
  check({"\"0.8 s\"", "\"nan s\"", 14, 13, "process.fill_time", "finite number"}, disc_case());
  check({"\"0.8 s\"", "\"1e999 s\"", 14, 13, "process.fill_time", "finite number"}, disc_case());
  check({"[process]", "[process]\nentrance_length = nan", 14, 19, "process.entrance_length",
         "not a finite number"},
        disc_case());
  check({"[process]", "[process]\nentrance_length = -inf", 14, 19, "process.entrance_length",
         "not a finite number"},
        disc_case());
  check({"[process]", "[process]\nmelt_temperature = \"900 degC\"", 14, 20,
         "process.melt_temperature", "from 50 degC to 500 degC"},
        disc_case());
  check({"at = [0, 0]", "at = [0, 1e9]", 9, 10, "injection.at", "out of range"}, disc_case());
  check({"centre = [0, 0]", "centre = [inf, 0]", 7, 22, "layout.part[1].circle.centre",
         "not a finite number"},
        disc_case());
  check({"[process]", "[accuracy]\nlayers = 9223372036854775807\n[process]", 14, 10,
         "accuracy.layers", "from 2 to 200"},
        disc_case());
}

TEST_CASE("a word that is not on the list is refused with the list", "[io]") {
  check({"[process]", "[accuracy]\nlevel = \"fin\"\n[process]", 14, 9, "accuracy.level",
         "nearest: \"fine\""},
        disc_case());
  check({"unit = \"mm\"", "unit = \"furlong\"", 3, 8, "layout.unit",
         "\"mm\", \"cm\", \"m\", \"um\", \"in\""},
        disc_case());
}

TEST_CASE("missing keys are reported at the table that lacks them", "[io]") {
  check({"card = \"./grade.toml\"", "", 11, 1, "material.card", "missing"}, disc_case());
  check({"name = \"disc\"", "", 4, 1, "layout.part[1].name", "missing"}, disc_case());
  check({"unit = \"mm\"", "", 2, 1, "layout.unit", "missing"}, disc_case());
  check({"at = [0, 0]", "", 8, 1, "injection.at", "missing"}, disc_case());
  check({"[process]\nfill_time = \"0.8 s\"", "", 1, 1, "process", "missing"}, disc_case());
}

TEST_CASE("forbidden combinations are refused", "[io]") {
  check({kFill, "fill_time = \"1 s\"\nconstant_pressure = \"9 MPa\"", 15, 1,
         "process.constant_pressure", "cannot stand beside \"fill_time\""},
        disc_case());
  check({kFill, "", 13, 1, "process",
         "one of fill_time, injection_speed, speed_profile, constant_pressure is needed"},
        disc_case());
  check({"circle =", "polygon = [[0,0],[1,0],[0,1]]\ncircle =", 8, 1, "layout.part[1].circle",
         "cannot stand beside \"polygon\""},
        disc_case());
  check({"circle = { centre = [0, 0], diameter = \"100 mm\" }", "", 4, 1, "layout.part[1]",
         "one of polygon, circle, rectangle"},
        disc_case());
  check({"[process]", "[process]\nswitch_over = { time = \"1 s\", volume = \"98 %\" }", 14, 31,
         "process.switch_over.volume", "cannot stand beside \"time\""},
        disc_case());
  check(
      {"[process]", "[process]\nswitch_over = {}", 14, 15, "process.switch_over", "one of volume"},
      disc_case());
  check({"diameter = \"4 mm\"", "diameter = \"4 mm\"\nwidth = \"4 mm\"", 11, 1, "injection.width",
         "only one of"},
        disc_case());
  check({"[injection]", "[geometry]\nlayout = \"x.toml\"\n[injection]", 2, 1, "layout",
         "exactly one of"},
        disc_case());
  check({"[process]", "[process]\nmould_temperature = { fixed = \"40 degC\" }", 14, 21,
         "process.mould_temperature.moving", "missing"},
        disc_case());
  check({"card = \"./grade.toml\"", "card = \"a\"\nregrind = \"60 %\"\nmasterbatch = \"50 %\"", 14,
         15, "material.masterbatch", "100 %"},
        disc_case());
}

TEST_CASE("a speed profile must start at 0 % and rise", "[io]") {
  check({kFill, "speed_profile = [[\"5 %\", \"40 cm3/s\"]]", 14, 18, "process.speed_profile",
         "\"0 %\""},
        disc_case());
  check({kFill, "speed_profile = [[\"0 %\", \"40 cm3/s\"], [\"0 %\", \"9 cm3/s\"]]", 14, 39,
         "process.speed_profile", "must rise"},
        disc_case());
  check({kFill, "speed_profile = []", 14, 17, "process.speed_profile", "pairs"}, disc_case());
  check({kFill, "speed_profile = [[\"0 %\"]]", 14, 18, "process.speed_profile", "two values"},
        disc_case());
  check({kFill, "speed_profile = [[\"40 cm3/s\", \"0 %\"]]", 14, 19, "process.speed_profile",
         "a ratio belongs here"},
        disc_case());
}

TEST_CASE("an empty case says what is missing", "[io]") {
  const auto e = error_of("");
  REQUIRE(e);
  CHECK(e->key() == "material");
  CHECK(e->line() == 1);
}

TEST_CASE("a layout file that is not there is a fault of the key that names it", "[io]") {
  const ScratchFolder scratch("layout-errors");
  const std::string text =
      "geometry = { layout = \"frame.toml\" }\nmaterial = { card = \"a\" }\nprocess = { fill_time "
      "= \"1 s\" }\n";
  const auto missing = error_of(text, scratch.path());
  REQUIRE(missing);
  CHECK(missing->key() == "geometry.layout");
  CHECK(missing->line() == 1);
  CHECK(missing->column() == 23);
  CHECK_THAT(missing->what(), Catch::Contains("no such file"));
  const auto folder = error_of(replaced(text, "frame.toml", "."), scratch.path());
  REQUIRE(folder);
  CHECK_THAT(folder->what(), Catch::Contains("folder"));
}

TEST_CASE("mistakes in a layout file show its name and line", "[io]") {
  const ScratchFolder scratch("layout-file");
  const std::string text =
      "geometry = { layout = \"frame.toml\" }\nmaterial = { card = \"a\" }\nprocess = { fill_time "
      "= \"1 s\" }\n";
  std::ofstream(scratch.path() / "frame.toml")
      << "unit = \"mm\"\n[[part]]\nname = \"a\"\nthickness = 2\n";
  const auto shape = error_of(text, scratch.path());
  REQUIRE(shape);
  CHECK(shape->file() == (scratch.path() / "frame.toml").string());
  CHECK(shape->line() == 2);
  CHECK(shape->key() == "part[1]");
  std::ofstream(scratch.path() / "frame.toml")
      << "unit = \"mm\"\n[[part]]\nname = \"a\"\nthickness = 2\n"
      << "circle = { centre = [0, 0], diameter = \"9 mm\" }\n";
  const auto unit = error_of(text, scratch.path());
  REQUIRE(unit);
  CHECK(unit->line() == 4);
  CHECK(unit->column() == 13);
  CHECK(unit->key() == "part[1].thickness");
  std::ofstream(scratch.path() / "frame.toml") << "unit = \"mm\"\npart = 3 3\n";
  const auto syntax = error_of(text, scratch.path());
  REQUIRE(syntax);
  CHECK(syntax->line() == 2);
  CHECK(syntax->file() == (scratch.path() / "frame.toml").string());
}

TEST_CASE("a million corners end in an error", "[io]") {
  std::string corners;
  for (int i = 0; i < 1000000; ++i) corners += "[0,1],";
  const auto e =
      error_of(replaced(disc_case(), "circle = { centre = [0, 0], diameter = \"100 mm\" }",
                        "polygon = [" + corners + "]"));
  REQUIRE(e);
  CHECK(e->key() == "layout.part[1].polygon");
  CHECK(e->line() == 7);
}
