// Every case in cases/ that has an expected.toml runs whole; scalars of its summary are compared.
// The values are our own earlier results: they show that a change moved a result, not that the
// result is right.
#include <filesystem>
#include <set>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <toml++/toml.h>

#include "io/build_setup.hpp"
#include "io/case.hpp"
#include "io/summary.hpp"
#include "solver/assess/trap_cause.hpp"
#include "solver/whole/run_case.hpp"

using namespace firstshot;

namespace {

const std::filesystem::path cases = std::filesystem::path(FIRSTSHOT_SOURCE_DIR) / "cases";

nlohmann::json run_summary(const std::filesystem::path& file) {
  const CardFolders cards{{cases / "materials"}, {cases / "presses"}};
  const BuiltSetup built = build_setup(read_case(file), cards);
  const Result result = run_case(built.setup);
  return nlohmann::json::parse(summary_json(built.setup, result, {}));
}

/// Compares the summary with each entry of the file; returns how many there were.
int compare(const std::string& name, const nlohmann::json& summary) {
  const toml::table expected = toml::parse_file((cases / name / "expected.toml").string());
  int count = 0;
  for (const toml::node& node : *expected["expect"].as_array()) {
    const toml::table& entry = *node.as_table();
    const std::string pointer = entry["pointer"].value<std::string>().value();
    INFO(name << pointer << ": " << entry["why"].value<std::string>().value());
    const nlohmann::json& found = summary.at(nlohmann::json::json_pointer(pointer));
    if (const auto text = entry["text"].value<std::string>()) {
      CHECK(found.get<std::string>() == *text);
    } else {
      REQUIRE(found.is_number());
      const double value = entry["value"].value<double>().value();
      const double tolerance = entry["tolerance"].value<double>().value();
      CHECK(std::abs(found.get<double>() - value) <= tolerance);
    }
    ++count;
  }
  return count;
}

int compare(const std::string& name) {
  return compare(name, run_summary(cases / name / "case.toml"));
}

int lines_on(const nlohmann::json& summary, const std::string& part) {
  int count = 0;
  for (const nlohmann::json& line : summary.at("weld_lines"))
    count += line.at("part") == part && line.at("visible").get<bool>() ? 1 : 0;
  return count;
}

double packed_most(const nlohmann::json& summary) {
  double most = 0.0;
  for (const auto& part : summary["parts"])
    most = std::max(most, part["packing_extra"].get<double>());
  return most;
}

}  // namespace

TEST_CASE("the strip gives its expected figures", "[case]") { CHECK(compare("strip") > 1); }
TEST_CASE("the disc gives its expected figures", "[case]") { CHECK(compare("disc") > 1); }
TEST_CASE("the far thin part stays short and says why", "[case]") {
  const nlohmann::json summary = run_summary(cases / "far-thin-part" / "case.toml");
  CHECK(compare("far-thin-part", summary) > 1);
  CHECK(summary["verdict"]["approved"] == false);
  CHECK(summary["verdict"]["findings"][0]["rule"] == "short_shot");
}
TEST_CASE("the heavier side is found, and the early cavity", "[case][verdict]") {
  const nlohmann::json summary = run_summary(cases / "two-cavities" / "case.toml");
  CHECK(compare("two-cavities", summary) > 1);
  CHECK(summary["verdict"]["approved"] == true);
  std::set<std::string> rules;
  for (const auto& finding : summary["verdict"]["findings"]) rules.insert(finding["rule"]);
  CHECK(rules.count("weight_left_right") == 1);
  CHECK(rules.count("weight_top_bottom") == 0);
  CHECK(rules.count("fill_time_spread") == 1);
  CHECK(summary["balance"]["pressure_jump_MPa"].get<double>() > 0.0);
  // What is spent along the way to the last place is the pressure at the injection point.
  const nlohmann::json& path = summary["balance"]["last_path"];
  CHECK(path["part"] == "long");
  double spent = 0.0;
  for (const char* key : {"sprue_MPa", "runners_MPa", "gates_MPa", "parts_MPa", "air_MPa"})
    spent += path[key].get<double>();
  CHECK(spent == Approx(summary["fill"]["peak_pressure_MPa"].get<double>()).epsilon(1e-6));
  // At the set speed, what the full side took before goes to the other one.
  REQUIRE(summary["balance"]["sides"].size() == 1);
  const nlohmann::json& side = summary["balance"]["sides"][0];
  double volume = 0.0;
  for (const auto& part : summary["parts"]) volume += part["volume_mm3"].get<double>();
  const double share = summary["shot"]["runner_share"];
  const double set = 1e-3 * volume / (1.0 - share) / 0.5;  // [cm³/s], 0.5 s for the whole shot
  CHECK(side["first"] == "right");
  CHECK(side["second"] == "left");
  CHECK(side["pressure_after_MPa"].get<double>() > side["pressure_before_MPa"].get<double>());
  CHECK(side["second_flow_before_cm3_s"].get<double>() < 0.7 * set);
  CHECK(side["second_flow_after_cm3_s"].get<double>() == Approx(set).epsilon(0.1));
  // The early cavity is packed by the pressure that the late one still needs.
  for (const auto& part : summary["parts"]) {
    const double extra = part["packing_extra"].get<double>();
    CHECK(extra > 0.0);
    if (part["name"] == "long") CHECK(extra < 0.7 * packed_most(summary));
  }
}
TEST_CASE("the face of a mould with cooling channels follows from heat and cycle", "[case]") {
  const nlohmann::json summary = run_summary(cases / "cooling-channels" / "case.toml");
  CHECK(compare("cooling-channels", summary) > 1);
  const nlohmann::json &cycle = summary["cycle"], &mould = cycle["mould"];
  CHECK(mould["follows_from_channels"] == true);
  // The run agrees with the balance that it began with, and all its heat goes into the water.
  const double used = mould["surface_fixed_C"], found = mould["balance_fixed"]["surface_C"];
  CHECK(found == Approx(used).margin(1.0));
  const double power = mould["balance_fixed"]["power_W"], time = cycle["total_s"];
  CHECK(power * time == Approx(1e3 * cycle["energy"]["to_fixed_half_kJ"].get<double>()));
}

TEST_CASE("a blind rib may scorch, and a vent cures it", "[case][air]") {
  CHECK(compare("blind-part") > 1);
  const nlohmann::json blind = run_summary(cases / "blind-part" / "case.toml");
  const nlohmann::json vented = run_summary(cases / "blind-part" / "vented.toml");
  CHECK(blind["air_pockets"][0]["may_scorch"] == true);
  CHECK(blind["air_pockets"][0]["vented"] == false);
  CHECK(blind["air_pockets"][0]["vent"]["reaches"] == true);
  for (const auto& pocket : vented["air_pockets"]) {
    CHECK(pocket["may_scorch"] == false);
    CHECK(pocket["vented"] == true);
    CHECK(pocket["vent"].is_null());
  }
  CHECK(vented["fill"]["time_s"] < blind["fill"]["time_s"]);
}
TEST_CASE("a thick rim closes around the thin middle, where no vent reaches", "[case][air]") {
  CHECK(compare("thick-rim") > 1);
  const nlohmann::json trap = run_summary(cases / "thick-rim" / "case.toml")["air_pockets"][0];
  CHECK(trap["vented"] == false);
  CHECK(trap["vent"]["reaches"] == false);
  CHECK(trap["vent"]["pins"]["count"] == 1);
  CHECK(trap["edge_mm"] == 0.0);
  // Some left at the edge before the front closed there, most stays.
  CHECK(trap["mass_ug"].get<double>() > 0.5 * trap["closed_mass_ug"].get<double>());
  CHECK(trap["mass_ug"].get<double>() < trap["closed_mass_ug"].get<double>());
  CHECK_THAT(trap["vent"]["text"].get<std::string>(),
             Catch::Contains("the melt races through 2.40 mm around its wall of 0.80 mm"));
}
TEST_CASE("the wall that is named for air inside a face drives it to the edge", "[case][air]") {
  Case c = read_case(cases / "thick-rim" / "case.toml");
  set_accuracy_level(c, "preview");
  const CardFolders cards{{cases / "materials"}, {cases / "presses"}};
  const auto while_filling = [](const Snapshot& s) { return s.state.mode != FillMode::done; };
  const Setup setup = build_setup(c, cards).setup;
  const Result shipped = run_case(setup, while_filling);
  REQUIRE(!shipped.air_pockets.empty());
  const AirPocketResult& trap = shipped.air_pockets[0];
  REQUIRE(trap.trapped);
  const TrapCause cause = trap_cause(setup, shipped.state, static_cast<std::size_t>(trap.number),
                                     trap.proposal.value().distance);
  REQUIRE(cause.wall_needed);
  CHECK(*cause.wall_needed < 2.0e-3);  // it does not ask for the wall of the rim
  c.layout.areas[0].steps[0].thickness = *cause.wall_needed;
  const Result cured = run_case(build_setup(c, cards).setup, while_filling);
  for (const AirPocketResult& pocket : cured.air_pockets) {
    CHECK_FALSE(pocket.trapped);
    if (pocket.proposal) CHECK(pocket.proposal->reaches);
  }
}
TEST_CASE("an ejector pin lets out the air inside a face", "[case][air]") {
  const nlohmann::json summary = run_summary(cases / "thick-rim" / "pin.toml");
  CHECK(summary["fill"]["outcome"] == "filled");
  CHECK(summary["short_shots"].empty());
  for (const auto& pocket : summary["air_pockets"]) CHECK(pocket["vented"] == true);
  for (const auto& finding : summary["verdict"]["findings"])
    CHECK(finding["rule"] != "trapped_air");
}
TEST_CASE("each of three holes in a row has its weld line", "[case][weld]") {
  const nlohmann::json summary = run_summary(cases / "three-holes" / "case.toml");
  CHECK(compare("three-holes", summary) > 1);
  CHECK(summary.at("weld_lines").size() == 3);
}
TEST_CASE("the smaller of two gates has the weld line on its side", "[case][weld]") {
  const nlohmann::json summary = run_summary(cases / "two-gates" / "case.toml");
  CHECK(compare("two-gates", summary) > 1);
  CHECK(summary.at("weld_lines").size() == 1);
}
TEST_CASE("the blind well of the tug traps air that a vent lets out", "[case][air]") {
  const CardFolders cards{{cases / "materials"}, {cases / "presses"}};
  const auto trap = [&](const char* file) {
    Case c = read_case(cases / "harbour-tug" / file);
    set_accuracy_level(c, "preview");
    const BuiltSetup built = build_setup(c, cards);
    // The well is full at 0.19 s; the rest of the shot changes nothing there.
    const Result result =
        run_case(built.setup, [](const Snapshot& s) { return s.state.time < 0.24; });
    std::vector<Finding> found;
    for (const Finding& f : result.verdict.findings)
      if (f.rule == "may_scorch" || (f.rule == "trapped_air" && f.part == "slug-well"))
        found.push_back(f);
    return found;
  };
  const std::vector<Finding> shipped = trap("case.toml");
  REQUIRE(shipped.size() == 1);
  CHECK(shipped[0].part == "slug-well");
  CHECK(shipped[0].at->x == Approx(86e-3).margin(2e-3));
  CHECK_THAT(shipped[0].text, Catch::Contains("a vent 20 um deep") &&
                                  Catch::Contains("on the end of the runner at (86.0, 0.0) mm"));
  CHECK(trap("vented.toml").empty());
}
TEST_CASE("the harbour tug gives its expected figures, each window its weld line", "[case][slow]") {
  const nlohmann::json summary = run_summary(cases / "harbour-tug" / "case.toml");
  CHECK(compare("harbour-tug", summary) > 1);
  // Three windows; the back wall has a window and a door.
  CHECK(lines_on(summary, "wheelhouse-front") == 3);
  CHECK(lines_on(summary, "wheelhouse-back") == 2);
  CHECK(lines_on(summary, "wheelhouse-left") == 3);
  CHECK(lines_on(summary, "wheelhouse-right") == 3);
}
