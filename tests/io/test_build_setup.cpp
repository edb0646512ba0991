#include <cmath>
#include <fstream>
#include <numbers>

#include <catch2/catch.hpp>

#include "io/build_setup.hpp"
#include "io/resolved_case.hpp"
#include "tests/io/case_samples.hpp"
#include "tests/refusal.hpp"

using namespace firstshot;
namespace fs = std::filesystem;

namespace {

Case disc(const std::string& from = "", const std::string& to = "") {
  std::string text = disc_case() + "[accuracy]\nelement_size = \"8 mm\"\n";
  return read_case_text(from.empty() ? text : replaced(text, from, to), "case.toml", "");
}

std::optional<CaseError> build_error(const std::string& from, const std::string& to,
                                     const Cards& cards = plain_cards()) {
  return test::refused<CaseError>([&] { build_setup(disc(from, to), cards); });
}

bool has_note(const BuiltSetup& built, const std::string& piece) {
  for (const std::string& note : built.notes) {
    if (note.find(piece) != std::string::npos) return true;
  }
  return false;
}

}  // namespace

TEST_CASE("the fill time becomes a flow of the whole volume in that time", "[io]") {
  const BuiltSetup built = build_setup(disc(), plain_cards());
  double volume = 0.0;
  for (const double v : region_volumes(built.setup.model)) volume += v;
  for (const double v : channel_volumes(built.setup.model)) volume += v;
  // A circle drawn with straight sides is a little smaller.
  CHECK(volume == Approx(std::numbers::pi / 4.0 * 0.1 * 0.1 * 2e-3).epsilon(0.01));
  REQUIRE(built.setup.process.speed.size() == 1);
  CHECK(built.setup.process.speed[0].from_share == 0.0);
  CHECK(built.setup.process.speed[0].flow_rate == Approx(volume / 0.8).epsilon(1e-12));
}

TEST_CASE("a setup takes its values from case, cards and accuracy level", "[io]") {
  const BuiltSetup built = build_setup(disc(), plain_cards());
  const Setup& s = built.setup;
  CHECK(s.title == "Disc");
  CHECK(s.material.name == "plain");
  CHECK(s.press.screw_diameter == Press{}.screw_diameter);
  CHECK(s.process.injection_pressure_max == Press{}.melt_pressure_max);
  CHECK(s.process.contact_conductance == 1e4);
  CHECK(s.accuracy.level == "default");
  CHECK(s.accuracy.layers == 20);
  CHECK(s.accuracy.volume_steps == 120);
  CHECK(s.accuracy.tolerance == 0.02);
  CHECK(built.resolved.accuracy.element_size == 8e-3);
  CHECK_FALSE(s.isothermal);
  CHECK(has_note(built, "No press card"));
}

TEST_CASE("an accuracy level fills only the keys that are not given", "[io]") {
  Case c = disc("element_size", "layers = 9\nelement_size");
  set_accuracy_level(c, "fine");
  const CaseAccuracy a = resolved_accuracy(c.accuracy);
  CHECK(a.layers == 9);
  CHECK(a.element_size == 8e-3);
  CHECK(a.volume_steps == 300);
  CHECK(a.tolerance == 0.005);
  CHECK(a.snapshots == 50);
}

TEST_CASE("keys of the press go before the card", "[io]") {
  CasePress written;
  written.speed_max = 0.05;
  Press card;
  card.name = "card";
  card.speed_max = 0.3;
  card.clamp_force = 1e6;
  const Press press = press_of(written, card);
  CHECK(press.name == "card");
  CHECK(press.speed_max == 0.05);
  CHECK(press.clamp_force == 1e6);
}

TEST_CASE("a press that is too slow or too small is a note, not an error", "[io]") {
  const BuiltSetup fast = build_setup(disc("\"0.8 s\"", "\"0.01 s\""), plain_cards());
  const double most = 0.2 * std::numbers::pi / 4.0 * 0.03 * 0.03;
  CHECK(fast.setup.process.speed[0].flow_rate == Approx(most).epsilon(1e-12));
  CHECK(has_note(fast, "141.4 cm3/s at most"));
  CHECK(fast.resolved.process.fill_time == 0.01);
  const BuiltSetup small =
      build_setup(disc("[process]", "[press]\nstroke_max = \"10 mm\"\n[process]"), plain_cards());
  CHECK(has_note(small, "has a stroke for"));
  CHECK_FALSE(has_note(build_setup(disc(), plain_cards()), "stroke"));
}

TEST_CASE("a temperature outside the range of the card is refused at its key with the range",
          "[io]") {
  const auto melt = build_error("[process]", "[process]\nmelt_temperature = \"300 degC\"");
  REQUIRE(melt);
  CHECK(melt->key() == "process.melt_temperature");
  CHECK(melt->line() == 14);
  CHECK(melt->column() == 20);
  CHECK_THAT(melt->what(), Catch::Contains("from 180 degC to 280 degC"));
  const auto mould = build_error("[process]", "[process]\nmould_temperature = \"5 degC\"");
  REQUIRE(mould);
  CHECK(mould->key() == "process.mould_temperature");
  const auto half = build_error(
      "[process]", "[process]\nmould_temperature = { fixed = \"40 degC\", moving = \"99 degC\" }");
  REQUIRE(half);
  CHECK(half->key() == "process.mould_temperature.moving");
  Cards cards = plain_cards();
  cards.material.melt_temperature_min = 0.0;
  cards.material.mould_temperature_max = 1000.0;
  const auto hot = build_error(
      "[process]", "[process]\nmelt_temperature=\"90 degC\"\nmould_temperature=\"90 degC\"", cards);
  REQUIRE(hot);
  CHECK_THAT(hot->what(), Catch::Contains("less than the melt temperature"));
}

TEST_CASE("pressures that the press cannot give are refused at their key", "[io]") {
  const auto limit = build_error("[process]", "[process]\ninjection_pressure_max = \"200 MPa\"");
  REQUIRE(limit);
  CHECK(limit->key() == "process.injection_pressure_max");
  CHECK_THAT(limit->what(), Catch::Contains("at most 180 MPa"));
  const auto holding = build_error("[process]", "[process]\nholding = [[\"190 MPa\", \"1 s\"]]");
  REQUIRE(holding);
  CHECK(holding->key() == "process.holding");
  const auto long_holding = build_error(
      "[process]", "[process]\nholding = [[\"30 MPa\", \"200 s\"], [\"20 MPa\", \"41 s\"]]");
  REQUIRE(long_holding);
  CHECK(long_holding->key() == "process.holding");
  CHECK_THAT(long_holding->what(), Catch::Contains("at most 240 s"));
  const auto never = build_error(
      "[process]",
      "[process]\nswitch_over = { pressure = \"120 MPa\" }\ninjection_pressure_max = \"100 MPa\"");
  REQUIRE(never);
  CHECK(never->key() == "process.switch_over.pressure");
}

// Logarithmic rule [Nielsen1977], second-hand and unconfirmed: a half-and-half blend of 1 and 2
// flows at √2.
TEST_CASE("regrind and masterbatch shift the viscosity by the logarithmic rule", "[io]") {
  CaseMaterial half;
  half.regrind = 0.5;
  half.regrind_flow_ratio = 2.0;
  CHECK(blend_flow_ratio(half) == Approx(std::sqrt(2.0)).epsilon(1e-14));
  CHECK(blend_flow_ratio(CaseMaterial{}) == 1.0);
  const BuiltSetup built = build_setup(
      disc("[process]", "regrind = \"10 %\"\nmasterbatch = \"2 %\"\n[process]"), plain_cards());
  const double ratio = std::pow(1.15, 0.10) * std::pow(2.0, 0.02);
  CHECK(viscosity(built.setup.material.viscosity, 10.0, 493.15, 0.0) ==
        Approx(100.0 / ratio).epsilon(1e-12));
  CHECK(has_note(built, "melt flow rate"));
  CHECK(has_note(
      build_setup(disc("[process]", "regrind = \"5 %\"\nregrind_flow_ratio = 5\n[process]"),
                  plain_cards()),
      "outside the range of the blending rule"));
}

TEST_CASE("the lot's factor scales the zero-shear viscosity and leaves where thinning begins",
          "[io]") {
  Cards cards = plain_cards();
  const CrossWlf law;
  cards.material.viscosity = law;
  cards.material.no_flow_temperature = 420.0;
  const BuiltSetup built =
      build_setup(disc("[process]", "viscosity_factor = 1.25\n[process]"), cards);
  const Material& lot = built.setup.material;
  CHECK(zero_shear_viscosity(lot.viscosity, 493.15, 1e7) ==
        Approx(1.25 * zero_shear_viscosity(law, 493.15, 1e7)).epsilon(1e-12));
  CHECK(stress_scale(lot.viscosity) == law.tau_star);
  CHECK(flow_index(lot.viscosity) == law.n);
  CHECK(lot.no_flow_temperature == 420.0);
  // Far in the thinning range the viscosity at equal shear rate goes with the factor to the power
  // n.
  CHECK(viscosity(lot.viscosity, 1e12, 493.15, 0.0) / viscosity(law, 1e12, 493.15, 0.0) ==
        Approx(std::pow(1.25, law.n)).epsilon(1e-4));
}

TEST_CASE("cards are found by name in the folders, in order, or by path beside the case", "[io]") {
  const ScratchFolder scratch("cards");
  fs::create_directories(scratch.path() / "first");
  fs::create_directories(scratch.path() / "second");
  std::ofstream(scratch.path() / "first" / "soft.toml") << "#\n";
  std::ofstream(scratch.path() / "second" / "soft.toml") << "#\n";
  std::ofstream(scratch.path() / "second" / "hard.toml") << "#\n";
  const std::vector<fs::path> folders = {scratch.path() / "none", scratch.path() / "first",
                                         scratch.path() / "second"};
  CHECK(find_card("soft", folders) == scratch.path() / "first" / "soft.toml");
  CHECK(find_card("hard", folders) == scratch.path() / "second" / "hard.toml");
  CHECK(find_card("none", folders).empty());
  CHECK(card_names(folders) == std::vector<std::string>{"hard", "soft"});
  CHECK(is_card_path("./soft.toml"));
  CHECK(is_card_path("soft.toml"));
  CHECK_FALSE(is_card_path("soft"));
}

TEST_CASE("a card that is not there is refused at its key", "[io]") {
  const ScratchFolder scratch("no-cards");
  std::ofstream(scratch.path() / "grade.toml") << "#\n";
  const CardFolders folders{{scratch.path()}, {}};
  auto card_error = [&](const std::string& card) {
    const std::string text = replaced(disc_case(), "./grade.toml", card);
    return test::refused<CaseError>(
               [&] { read_cards(read_case_text(text, "case.toml", scratch.path()), folders); })
        .value();
  };
  CHECK(card_error("grad").line() == 12);
  CHECK(card_error("grad").key() == "material.card");
  CHECK_THAT(card_error("grad").what(), Catch::Contains("nearest name is \"grade\""));
  CHECK_THAT(card_error("quite-another").what(), Catch::Contains("known cards: grade"));
  CHECK_THAT(card_error("./gone.toml").what(), Catch::Contains("no such file"));
  CHECK_THAT(card_error("./").what(), Catch::Contains("folder"));
  CHECK(card_error("./grade.toml").file() == (scratch.path() / "grade.toml").string());
}

TEST_CASE("a resolved case builds the same setup, bit for bit", "[io][case]") {
  const ScratchFolder scratch("resolved-run");
  const fs::path cases = fs::path(FIRSTSHOT_SOURCE_DIR) / "cases";
  const CardFolders folders{{cases / "materials"}, {cases / "presses"}};
  Case c = read_case(cases / "two-cavities" / "case.toml");
  set_accuracy_level(c, "preview");
  const BuiltSetup first = build_setup(c, folders);
  write_resolved_case(first, scratch.path());
  const BuiltSetup second =
      build_setup(read_case(scratch.path() / kResolvedCaseName), CardFolders{});
  const Setup& a = first.setup;
  const Setup& b = second.setup;
  CHECK(a.model.mesh.points == b.model.mesh.points);
  CHECK(a.model.mesh.triangles == b.model.mesh.triangles);
  CHECK(a.model.thickness == b.model.thickness);
  CHECK(a.model.node_of_vertex == b.model.node_of_vertex);
  CHECK(a.process.speed.at(0).flow_rate == b.process.speed.at(0).flow_rate);
  CHECK(viscosity(a.material.viscosity, 1e3, 490.0, 1e7) ==
        viscosity(b.material.viscosity, 1e3, 490.0, 1e7));
  CHECK(a.press.plasticising_rate == b.press.plasticising_rate);
  CHECK(a.accuracy.level == b.accuracy.level);
  CHECK(resolved_case_text(first) == resolved_case_text(second));
  CHECK(first.notes == second.notes);
}

TEST_CASE("a case of the part's size is made larger by its shrinkage allowance", "[io]") {
  const auto sized = [](const std::string& keys) {
    return disc("[layout]", "[geometry]\n" + keys + "[layout]");
  };
  const Case part = sized("size = \"part\"\nshrinkage = \"1 %\"\n");
  const BuiltSetup cavity = build_setup(disc(), plain_cards());
  const BuiltSetup larger = build_setup(part, plain_cards());
  CHECK(region_volumes(larger.setup.model)[0] ==
        Approx(region_volumes(cavity.setup.model)[0] / std::pow(0.99, 3)));
  // Coordinates of the results, model / unit, are those of the input.
  CHECK(larger.setup.model.mesh.points.vector()[5].x / unit_length(part) ==
        Approx(cavity.setup.model.mesh.points.vector()[5].x / unit_length(disc())));
  CHECK_THAT(larger.notes.back() + larger.notes.front(),
             Catch::Contains("as large for 1 % of shrinkage"));
  const std::string text = resolved_case_text(larger);
  CHECK_THAT(text, Catch::Contains("size = \"part\"") && Catch::Contains("shrinkage = \"1 %\""));
  CHECK_THROWS_WITH(sized("size = \"part\"\n"), Catch::Contains("needs geometry.shrinkage"));
  CHECK_THROWS_WITH(sized("shrinkage = \"1 %\"\n"), Catch::Contains("only with geometry.size"));
  CHECK_THROWS_WITH(sized("size = \"mould\"\n"),
                    Catch::Contains("cavity") && Catch::Contains("part"));
}
