#include <fstream>
#include <sstream>

#include <catch2/catch.hpp>

#include "io/case.hpp"
#include "io/case_keys.hpp"
#include "io/case_table.hpp"
#include "tests/io/case_samples.hpp"
#include "tests/io/dxf_samples.hpp"
#include "tests/io/full_cases.hpp"
#include "tests/io/stl_samples.hpp"

using namespace firstshot;

TEST_CASE("a short case takes every default from the table of keys", "[io]") {
  const Case c = read_case_text(disc_case(), "case.toml", "");
  CHECK(c.title == "Disc");
  CHECK(c.material.card == "./grade.toml");
  CHECK(c.material.regrind == 0.0);
  CHECK(c.material.regrind_flow_ratio == 1.15);
  CHECK(c.material.masterbatch_flow_ratio == 2.0);
  CHECK(c.material.contact_conductance == 1e4);
  CHECK(c.process.melt_temperature == 493.15);
  CHECK(c.process.mould_temperature_fixed == 313.15);
  CHECK(c.process.mould_temperature_moving == 313.15);
  CHECK(c.process.fill_time == 0.8);
  CHECK(c.process.switch_over.kind == SwitchOverKind::volume);
  CHECK(c.process.switch_over.value == 0.98);
  CHECK(c.process.holding.empty());
  CHECK(c.process.entrance_length == 3.0);
  CHECK(c.process.barrel_compressible);
  CHECK(c.process.time_limit == 30.0);
  CHECK_FALSE(c.process.isothermal);
  CHECK(c.accuracy.level == "default");
  CHECK_FALSE(c.press.card);
  CHECK(c.layout.injection_diameter == 4e-3);
}

TEST_CASE("the defaults of the table agree with those of the press and process values", "[io]") {
  const Press press;
  const auto value = [](const char* key) {
    const KeySpec& spec = *find_key(key);
    return parse_quantity(spec.default_value, spec.dimension);
  };
  CHECK(value("press.screw_diameter") == press.screw_diameter);
  CHECK(value("press.stroke_max") == press.stroke_max);
  CHECK(value("press.speed_max") == press.speed_max);
  CHECK(value("press.melt_pressure_max") == press.melt_pressure_max);
  CHECK(value("press.clamp_force") == press.clamp_force);
  CHECK(value("press.nozzle_volume") == press.nozzle_volume);
  CHECK(std::stod(find_key("press.intensification")->default_value) == press.intensification);
  const Process process;
  CHECK(value("process.melt_temperature") == process.melt_temperature);
  CHECK(value("material.contact_conductance") == process.contact_conductance);
  CHECK(value("process.time_limit") == process.time_limit);
}

TEST_CASE("the results take over the unit of the input unless the case says otherwise", "[io]") {
  CHECK(unit_length(read_case_text(disc_case(), "case.toml", "")) == 1e-3);
  const std::string inches = replaced(disc_case(), "\"mm\"", "\"in\"");
  CHECK(unit_length(read_case_text(inches, "case.toml", "")) == Approx(25.4e-3).epsilon(1e-15));
  const std::string said = replaced(disc_case(), "[layout]", "[geometry]\nunit = \"cm\"\n[layout]");
  const Case c = read_case_text(said, "case.toml", "");
  CHECK(unit_length(c) == 1e-2);
  CHECK(std::get<CircleShape>(c.layout.areas[0].outline).diameter == 0.1);
}

TEST_CASE("the marks of parts are read with their place in the unit of the geometry", "[io]") {
  const auto marks = [](const std::string& text) {
    const TomlFile file = TomlFile::parse(text, "case.toml");
    return read_part_marks(CaseTable(file, &file.root(), "", ""), "cm");
  };
  const auto two = marks(
      "[[part]]\nname = \"deck\"\ninside = [1, -2]\nvisible = true\n"
      "[[part]]\nname = \"mast\"\ninside = [3, 4]\n");
  REQUIRE(two.size() == 2);
  CHECK(two[0].name == "deck");
  CHECK(two[0].inside == Point{0.01, -0.02});
  CHECK(two[0].visible);
  CHECK_FALSE(two[1].visible);
  CHECK(two[1].origin == "case.toml:5:1");
  CHECK_THROWS_WITH(marks("[[part]]\nname = \"a\"\ninside = [1, 2]\n"
                          "[[part]]\nname = \"a\"\ninside = [3, 4]\n"),
                    Catch::Contains("taken (at case.toml:1:1)"));
  CHECK_THROWS_WITH(marks("[[part]]\nname = \"a\"\ninside = [1, 2000]\n"),
                    Catch::Contains("out of range"));
}

TEST_CASE("everything that can be set at the press is read", "[io]") {
  const std::string text = replaced(disc_case(), "fill_time = \"0.8 s\"", R"(
melt_temperature = "230 degC"
mould_temperature = { fixed = "45 degC", moving = "35 degC" }
speed_profile = [["0 %", "40 cm3/s"], ["90 %", "20 cm3/s"]]
switch_over = { pressure = "60 MPa" }
holding = [["20 MPa", "2 s"], ["10 MPa", "1 s"]]
injection_pressure_max = "120 MPa"
entrance_length = 0
barrel_compressible = false
time_limit = "5 s"
isothermal = true
[press]
card = "press-60t"
screw_diameter = "25 mm"
[accuracy]
level = "fine"
layers = 16
)");
  const Case c = read_case_text(text, "case.toml", "");
  CHECK(c.process.mould_temperature_fixed == 318.15);
  CHECK(c.process.mould_temperature_moving == 308.15);
  REQUIRE(c.process.speed_profile.size() == 2);
  CHECK(c.process.speed_profile[1].from_share == 0.9);
  CHECK(c.process.speed_profile[1].flow_rate == 20e-6);
  CHECK_FALSE(c.process.fill_time);
  CHECK(c.process.switch_over.kind == SwitchOverKind::pressure);
  CHECK(c.process.switch_over.value == 60e6);
  REQUIRE(c.process.holding.size() == 2);
  CHECK(c.process.holding[0].pressure == 20e6);
  CHECK(c.process.holding[1].duration == 1.0);
  CHECK(c.process.injection_pressure_max == 120e6);
  CHECK(c.process.entrance_length == 0.0);
  CHECK_FALSE(c.process.barrel_compressible);
  CHECK(c.process.time_limit == 5.0);
  CHECK(c.process.isothermal);
  CHECK(c.press.card == "press-60t");
  CHECK(c.press.screw_diameter == 25e-3);
  CHECK_FALSE(c.press.stroke_max);
  CHECK(c.accuracy.level == "fine");
  CHECK(c.accuracy.layers == 16);
  CHECK_FALSE(c.accuracy.volume_steps);
}

TEST_CASE("switch-over can go by position and by time", "[io]") {
  auto switch_over = [](const std::string& text) {
    return read_case_text(replaced(disc_case(), "[process]", "[process]\nswitch_over = " + text),
                          "c", "")
        .process.switch_over;
  };
  CHECK(switch_over("{ position = \"40 mm\" }").kind == SwitchOverKind::position);
  CHECK(switch_over("{ position = \"40 mm\" }").value == 0.04);
  CHECK(switch_over("{ time = \"0.5 s\" }").kind == SwitchOverKind::time);
  CHECK(switch_over("{ volume = \"95 %\" }").value == 0.95);
}

TEST_CASE("the accuracy level can be changed from outside but not to an unknown one", "[io]") {
  Case c = read_case_text(disc_case(), "case.toml", "");
  set_accuracy_level(c, "preview");
  CHECK(c.accuracy.level == "preview");
  CHECK_THROWS_WITH(set_accuracy_level(c, "best"), Catch::Contains("preview, default, fine"));
}

TEST_CASE("an error can be raised at a key after reading", "[io]") {
  const Case c = read_case_text(disc_case(), "case.toml", "");
  const CaseError there = case_error_at(c, "process.fill_time", "too short");
  CHECK(there.line() == 14);
  CHECK(there.column() == 13);
  const CaseError absent = case_error_at(c, "process.melt_temperature", "too hot");
  CHECK(absent.line() == 13);
  CHECK(absent.key() == "process.melt_temperature");
}

TEST_CASE("the cases that come with the program are read", "[io][case]") {
  for (const char* name : {"disc", "strip", "two-cavities", "three-holes", "two-gates",
                           "far-thin-part", "harbour-tug", "harbour-tug-dxf"}) {
    INFO(name);
    const std::filesystem::path folder =
        std::filesystem::path(FIRSTSHOT_SOURCE_DIR) / "cases" / name;
    CHECK_FALSE(read_case(folder / "case.toml").layout.areas.empty());
  }
}

namespace {

std::string without(std::string text, const std::string& piece) {
  for (std::size_t at = text.find(piece); at != std::string::npos; at = text.find(piece))
    text.erase(at, piece.size());
  return text;
}

// `text` with the value of this key replaced by a date; empty when the key does not stand there on
// a line of its own.
std::string with_date_at(const std::string& text, const KeySpec& spec) {
  std::istringstream lines(text);
  std::string table;
  std::string changed;
  bool found = false;
  for (std::string line; std::getline(lines, line);) {
    if (line.starts_with("[")) table = without(without(line, "["), "]") + ".";
    const std::string key = line.substr(0, line.find(" = "));
    if (!line.starts_with("[") && table + key == without(spec.path, "[]")) {
      line = key + " = 1999-12-31";
      found = true;
    }
    changed += line + "\n";
  }
  return found ? changed : "";
}

}  // namespace

// A date is a value of the wrong kind for every key, so a key that takes one is a key that nobody
// reads.
TEST_CASE("every key of the table is read and refuses a value of the wrong kind", "[io]") {
  const ScratchFolder scratch("every-key");
  std::ofstream(scratch.path() / "frame.toml")
      << "unit = \"mm\"\n[[part]]\nname = \"a\"\n"
      << "thickness = \"1 mm\"\ncircle = { centre = [0, 0], diameter = \"9 mm\" }\n";
  std::ofstream(scratch.path() / "frame.stl") << text_stl(box_shell(100, 50, 2));
  std::ofstream(scratch.path() / "frame.dxf") << test::small_drawing();
  for (const KeySpec& spec : case_keys()) {
    if (spec.kind == ValueKind::table || spec.kind == ValueKind::tables) continue;
    INFO(spec.path);
    int tried = 0;
    for (const std::string& text : full_cases()) {
      const std::string changed = with_date_at(text, spec);
      if (changed.empty()) continue;
      ++tried;
      const auto e = error_of(changed, scratch.path());
      REQUIRE(e);
      INFO(e->what());
      CHECK_THAT(e->reason(), Catch::Contains("a date or time stands here"));
      CHECK(last_name(e->key()) == last_name(spec.path));
    }
    CHECK(tried > 0);
  }
}
