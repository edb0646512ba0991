#include <fstream>
#include <iterator>
#include <set>

#include <catch2/catch.hpp>

#include "io/case_keys.hpp"
#include "io/resolved_case.hpp"
#include "io/toml_text.hpp"
#include "tests/io/case_samples.hpp"
#include "tests/io/full_cases.hpp"

using namespace firstshot;

namespace {

// A case with its open values filled in, without meshing and cards.
BuiltSetup without_mesh(const Case& c) {
  Cards cards;
  cards.material.ejection_temperature = 353.15;  // [K]
  BuiltSetup built;
  built.resolved = filled_in(c, cards);
  return built;
}

bool same(const Shape& a, const Shape& b) {
  if (a.index() != b.index()) return false;
  if (const auto* p = std::get_if<PolygonShape>(&a)) {
    const auto& q = std::get<PolygonShape>(b).corners;
    return std::equal(
        p->corners.begin(), p->corners.end(), q.begin(), q.end(),
        [](const Corner& x, const Corner& y) { return x.at == y.at && x.bulge == y.bulge; });
  }
  if (const auto* c = std::get_if<CircleShape>(&a)) {
    const auto& d = std::get<CircleShape>(b);
    return c->centre == d.centre && c->diameter == d.diameter;
  }
  const auto& r = std::get<RectangleShape>(a);
  const auto& s = std::get<RectangleShape>(b);
  return r.centre == s.centre && r.width == s.width && r.height == s.height &&
         r.corner_radius == s.corner_radius && r.turn == s.turn;
}

void check_same(const Area& a, const Area& b) {
  CHECK(a.name == b.name);
  CHECK(a.role == b.role);
  CHECK(a.visible == b.visible);
  CHECK(a.thickness == b.thickness);
  CHECK(same(a.outline, b.outline));
  REQUIRE(a.holes.size() == b.holes.size());
  for (std::size_t i = 0; i < a.holes.size(); ++i) CHECK(same(a.holes[i], b.holes[i]));
  REQUIRE(a.steps.size() == b.steps.size());
  for (std::size_t i = 0; i < a.steps.size(); ++i) {
    CHECK(same(a.steps[i].outline, b.steps[i].outline));
    CHECK(a.steps[i].thickness == b.steps[i].thickness);
  }
}

void check_same(const Layout& a, const Layout& b) {
  REQUIRE(a.areas.size() == b.areas.size());
  for (std::size_t i = 0; i < a.areas.size(); ++i) check_same(a.areas[i], b.areas[i]);
  REQUIRE(a.runners.size() == b.runners.size());
  for (std::size_t i = 0; i < a.runners.size(); ++i) {
    CHECK(a.runners[i].name == b.runners[i].name);
    CHECK(a.runners[i].points == b.runners[i].points);
    CHECK(a.runners[i].start == b.runners[i].start);
    CHECK(a.runners[i].end == b.runners[i].end);
  }
  REQUIRE(a.gates.size() == b.gates.size());
  for (std::size_t i = 0; i < a.gates.size(); ++i) {
    CHECK(a.gates[i].name == b.gates[i].name);
    CHECK(a.gates[i].from == b.gates[i].from);
    CHECK(a.gates[i].to == b.gates[i].to);
    CHECK(a.gates[i].width == b.gates[i].width);
    CHECK(a.gates[i].depth == b.gates[i].depth);
  }
  REQUIRE(a.sprue.has_value() == b.sprue.has_value());
  if (a.sprue) {
    CHECK(a.sprue->at == b.sprue->at);
    CHECK(a.sprue->length == b.sprue->length);
    CHECK(a.sprue->nozzle_diameter == b.sprue->nozzle_diameter);
    CHECK(a.sprue->foot_diameter == b.sprue->foot_diameter);
  }
  CHECK(a.injection == b.injection);
  CHECK(a.injection_diameter == b.injection_diameter);
  CHECK(a.injection_width == b.injection_width);
}

void check_same(const CaseProcess& a, const CaseProcess& b) {
  CHECK(a.melt_temperature == b.melt_temperature);
  CHECK(a.mould_temperature_fixed == b.mould_temperature_fixed);
  CHECK(a.mould_temperature_moving == b.mould_temperature_moving);
  CHECK(a.fill_time == b.fill_time);
  CHECK(a.injection_speed == b.injection_speed);
  REQUIRE(a.speed_profile.size() == b.speed_profile.size());
  for (std::size_t i = 0; i < a.speed_profile.size(); ++i) {
    CHECK(a.speed_profile[i].from_share == b.speed_profile[i].from_share);
    CHECK(a.speed_profile[i].flow_rate == b.speed_profile[i].flow_rate);
  }
  CHECK(a.constant_pressure == b.constant_pressure);
  CHECK(a.switch_over.kind == b.switch_over.kind);
  CHECK(a.switch_over.value == b.switch_over.value);
  REQUIRE(a.holding.size() == b.holding.size());
  for (std::size_t i = 0; i < a.holding.size(); ++i) {
    CHECK(a.holding[i].pressure == b.holding[i].pressure);
    CHECK(a.holding[i].duration == b.holding[i].duration);
  }
  CHECK(a.injection_pressure_max == b.injection_pressure_max);
  CHECK(a.entrance_length == b.entrance_length);
  CHECK(a.barrel_compressible == b.barrel_compressible);
  CHECK(a.time_limit == b.time_limit);
  CHECK(a.isothermal == b.isothermal);
}

// All but the names of the cards, which the resolved case replaces by those of the copies.
void check_same(const Case& a, const Case& b) {
  CHECK(a.title == b.title);
  check_same(a.layout, b.layout);
  CHECK(a.material.regrind == b.material.regrind);
  CHECK(a.material.masterbatch == b.material.masterbatch);
  CHECK(a.material.regrind_flow_ratio == b.material.regrind_flow_ratio);
  CHECK(a.material.masterbatch_flow_ratio == b.material.masterbatch_flow_ratio);
  CHECK(a.material.contact_conductance == b.material.contact_conductance);
  CHECK(a.press.name == b.press.name);
  CHECK(a.press.screw_diameter == b.press.screw_diameter);
  CHECK(a.press.stroke_max == b.press.stroke_max);
  CHECK(a.press.speed_max == b.press.speed_max);
  CHECK(a.press.melt_pressure_max == b.press.melt_pressure_max);
  CHECK(a.press.intensification == b.press.intensification);
  CHECK(a.press.clamp_force == b.press.clamp_force);
  CHECK(a.press.nozzle_volume == b.press.nozzle_volume);
  CHECK(a.press.dry_cycle == b.press.dry_cycle);
  CHECK(a.press.plasticising_rate == b.press.plasticising_rate);
  CHECK(a.press.barrel_volume == b.press.barrel_volume);
  CHECK(a.material.regrind_colour == b.material.regrind_colour);
  CHECK(a.closed.gates == b.closed.gates);
  CHECK(a.closed.parts == b.closed.parts);
  CHECK(a.cooling == b.cooling);
  CHECK(a.mould == b.mould);
  CHECK(a.cost == b.cost);
  check_same(a.process, b.process);
  CHECK(a.accuracy.level == b.accuracy.level);
  CHECK(a.accuracy.element_size == b.accuracy.element_size);
  CHECK(a.accuracy.layers == b.accuracy.layers);
  CHECK(a.accuracy.volume_steps == b.accuracy.volume_steps);
  CHECK(a.accuracy.tolerance == b.accuracy.tolerance);
  CHECK(a.accuracy.snapshots == b.accuracy.snapshots);
}

}  // namespace

TEST_CASE("a resolved case reads back as the same case, bit for bit", "[io]") {
  for (const std::string& text : valid_full_cases()) {
    const BuiltSetup built = without_mesh(read_case_text(text, "case.toml", ""));
    const std::string resolved = resolved_case_text(built);
    INFO(resolved);
    const Case again = read_case_text(resolved, kResolvedCaseName, "");
    check_same(built.resolved, again);
    CHECK(again.material.card == "./material.resolved.toml");
    CHECK(again.press.card == "./press.resolved.toml");
    BuiltSetup second = without_mesh(again);
    CHECK(resolved_case_text(second) == resolved);
  }
}

TEST_CASE("the cases that come with the program resolve to themselves", "[io][case]") {
  for (const char* name : {"disc", "strip", "two-cavities", "three-holes", "two-gates",
                           "far-thin-part", "harbour-tug", "harbour-tug-dxf"}) {
    INFO(name);
    const BuiltSetup built = without_mesh(
        read_case(std::filesystem::path(FIRSTSHOT_SOURCE_DIR) / "cases" / name / "case.toml"));
    check_same(built.resolved, read_case_text(resolved_case_text(built), kResolvedCaseName, ""));
  }
}

TEST_CASE("the resolved case leaves no default open", "[io]") {
  // Keys that stand for each other or were not asked for, and the layout, which is written piece by
  // piece.
  const std::set<std::string> absent = {"geometry.layout",
                                        "geometry.solid",
                                        "geometry.draw",
                                        "geometry.undercut_tolerance",
                                        "geometry.tessellation",
                                        "geometry.dxf",
                                        "geometry.gap",
                                        "geometry.shrinkage",
                                        "injection.width",
                                        "press.barrel_volume",
                                        "press.card",
                                        "process.mould_temperature",
                                        "process.speed_profile",
                                        "process.injection_speed",
                                        "process.constant_pressure",
                                        "process.switch_over.position",
                                        "process.switch_over.time",
                                        "process.switch_over.pressure",
                                        "process.holding",
                                        "limits.gate_shear_rate"};
  const BuiltSetup built = without_mesh(read_case_text(disc_case(), "case.toml", ""));
  const TomlFile file = TomlFile::parse(resolved_case_text(built), "resolved");
  for (const KeySpec& spec : case_keys()) {
    if (spec.path.starts_with("layout") || spec.path.starts_with("part") ||
        spec.path.starts_with("layer") || spec.path.starts_with("vent") ||
        spec.path.starts_with("ejector") || spec.path.starts_with("cost") ||
        spec.path.starts_with("closed") || spec.path.starts_with("mould.channel") ||
        spec.path.starts_with("mould.moving") || spec.kind == ValueKind::table ||
        absent.count(spec.path) > 0)
      continue;
    INFO(spec.path);
    const TomlNode* node = &file.root();
    for (std::string_view rest = spec.path; node != nullptr && !rest.empty();) {
      const std::size_t dot = rest.find('.');
      node = node->find(rest.substr(0, dot));
      rest = dot == std::string_view::npos ? "" : rest.substr(dot + 1);
    }
    CHECK(node != nullptr);
  }
}

TEST_CASE("the resolved case lies in the folder with copies of its cards", "[io]") {
  const ScratchFolder scratch("resolved");
  BuiltSetup built = without_mesh(read_case_text(disc_case(), "case.toml", ""));
  built.material_card_text = "name = \"x\"\n";
  write_resolved_case(built, scratch.path());
  std::ifstream in(scratch.path() / kResolvedMaterialName);
  CHECK(std::string(std::istreambuf_iterator<char>(in), {}) == built.material_card_text);
  CHECK_FALSE(std::filesystem::exists(scratch.path() / kResolvedPressName));
  CHECK_FALSE(read_case(scratch.path() / kResolvedCaseName).press.card);
}

TEST_CASE("texts with quotes, backslashes and control characters survive writing", "[io]") {
  const std::string odd = "a\"b\\c\td\ne\x01\x7f \u00fc";
  const TomlFile file = TomlFile::parse("a = " + toml_string(odd), "a.toml");
  CHECK(file.root().find("a")->text == odd);
}
