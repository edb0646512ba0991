// Cooling, mould and cost from the case to the setup, and what is refused on the way.
#include <iostream>
#include <numeric>

#include <catch2/catch.hpp>

#include "io/build_setup.hpp"
#include "io/resolved_case.hpp"
#include "io/setup_sheet.hpp"
#include "solver/assess/cycle.hpp"
#include "solver/stage/fill.hpp"
#include "solver/whole/run_case.hpp"
#include "tests/io/case_samples.hpp"
#include "tests/refusal.hpp"

using namespace firstshot;

namespace {

Cards cold_cards() {
  Cards cards = plain_cards();
  cards.material.ejection_temperature = 350.15;
  cards.material.no_flow_temperature = 400.0;
  cards.material.mould_temperature_max = 343.15;
  return cards;
}

/// Heat through the walls, summed from temperatures alone: the layer at the wall against the face,
/// through half the layer and the contact.
struct WallHeat {
  const Setup& setup;
  Fill fill;
  double heat = 0.0;  // [J] while filling and holding
  std::vector<double> let_go;
  explicit WallHeat(const Setup& s) : setup(s), fill(s) {}

  double flow(const State& s, std::size_t i) const {
    const GapGrid& grid = fill.grid();
    const ControlVolumes& v = fill.volumes();
    const auto n = static_cast<std::size_t>(grid.columns());
    const CoolingWalls walls = cooling_walls(setup);
    const bool loose = !let_go.empty() && let_go[i] >= 0.0;
    const double area = (v.round[i] != 0 ? 2.0 : 1.0) * v.volume[i] * s.fill.vector()[i];
    const double layer = v.half_gap[i] * (1.0 - grid.border(grid.layers() - 1));
    return area / v.half_gap[i] * (s.temperature[i * n + n - 1] - walls.fixed) /
           (1.0 / (loose ? walls.detached : walls.contact) +
            0.5 * layer / setup.material.conductivity);
  }
  bool note(const State& s) {
    for (std::size_t i = 0; i < fill.volumes().n_nodes(); ++i) heat += s.last_dt * flow(s, i);
    if (s.hold.mode != HoldMode::not_begun) let_go = s.hold.zero.vector();
    return true;
  }
  double cooling_heat(const State& s, double until) const {
    const Cool cool(setup, fill.volumes(), fill.grid(), cooling_walls(setup));
    CoolState state = cool.begin({s.time, s.temperature, s.pressure.span(), s.fill.span(),
                                  s.hold.mass.span(), s.hold.zero.span(), s.hold.ejectable.span()});
    cool.go_on(state, until);
    double sum = 0.0;
    for (const auto* half : {&state.heat_fixed, &state.heat_moving})
      sum += std::accumulate(half->begin(), half->end(), 0.0);
    return sum;
  }
};

const std::string channel =
    "[mould.channel]\ndiameter = \"8 mm\"\npitch = \"40 mm\"\ndepth = \"15 mm\"\n"
    "coolant_temperature = \"30 degC\"\nflow = \"100 cm3/s\"\n";

Case disc(const std::string& more, const std::string& process = "") {
  return read_case_text(
      replaced(disc_case(), "fill_time = \"0.8 s\"\n",
               "fill_time = \"0.8 s\"\nholding = [[\"5 MPa\", \"1 s\"]]\n" + process) +
          "[accuracy]\nlevel = \"preview\"\nelement_size = \"12 mm\"\n" + more,
      "case.toml", "");
}

std::string build_error(const std::string& more, const std::string& process = "") {
  return test::refusal_of<CaseError>([&] { build_setup(disc(more, process), cold_cards()); });
}

}  // namespace

TEST_CASE("without cooling channels the faces are as set and the card says when to eject", "[io]") {
  const Setup setup = build_setup(disc(""), cold_cards()).setup;
  CHECK_FALSE(setup.mould.fixed);
  CHECK(setup.mould.metal.name == "aluminium-7075");
  CHECK(setup.process.mould_temperature_fixed == Approx(313.15));
  CHECK(setup.cooling.parts.temperature == 350.15);
  CHECK(setup.cooling.runners.temperature == 350.15);
  CHECK(setup.cooling.time < 0.0);
  CHECK_FALSE(setup.cost);
}

TEST_CASE("with cooling channels the faces follow from the heat of the cycle", "[io]") {
  const BuiltSetup built = build_setup(disc(channel), cold_cards());
  const Process& p = built.setup.process;
  CHECK(p.mould_temperature_fixed == p.mould_temperature_moving);
  // Above the water, by the chain of resistances between the disc and the bores: Q/(t A) (R + R).
  CHECK(p.mould_temperature_fixed > 304.0);
  CHECK(p.mould_temperature_fixed < 325.0);
  bool told = false;
  for (const std::string& note : built.notes) told |= note.find("is not used") != std::string::npos;
  CHECK(told);
  // Steel keeps the face hotter, and so does a moving half with warmer water.
  const Process steel =
      build_setup(disc("[mould]\nmetal = \"steel\"\n" + channel), cold_cards()).setup.process;
  CHECK(steel.mould_temperature_fixed > p.mould_temperature_fixed + 1.0);
  const Process warm =
      build_setup(
          disc(channel + replaced(replaced(channel, "mould.channel", "mould.moving_channel"),
                                  "30 degC", "45 degC")),
          cold_cards())
          .setup.process;
  CHECK(warm.mould_temperature_moving > warm.mould_temperature_fixed + 8.0);
  // The resolved case gives the same faces again, bit for bit.
  const Case again = read_case_text(resolved_case_text(built), "case.toml", "");
  CHECK(build_setup(again, cold_cards()).setup.process.mould_temperature_fixed ==
        p.mould_temperature_fixed);
}

TEST_CASE("the heat of a run agrees with the faces that it began with", "[io]") {
  const BuiltSetup built = build_setup(disc(channel), cold_cards());
  WallHeat wall(built.setup);
  const Result r = run_case(built.setup, [&](const Snapshot& s) { return wall.note(s.state); });
  REQUIRE(r.cycle);
  const CycleResult& c = *r.cycle;
  CHECK(c.mould.follows);
  // Before the run: fresh melt at rest; after it: melt that has flowed and was held.
  CHECK(c.mould.fixed.surface == Approx(c.mould.surface_fixed).margin(1.0));
  CHECK(c.mould.fixed.power == Approx(c.mould.moving.power));
  // Heat in = heat to the mould + what is left in the shot.
  const ShotEnergy& e = c.energy;
  CHECK(e.melt + e.work == Approx(e.fixed + e.moving + e.left).epsilon(0.01));
  // What flowed through the walls, step by step in filling and holding, then as the columns cooled.
  const double later = wall.cooling_heat(r.state, r.cycle->opening);
  std::cout << "heat through the walls against the balance: "
            << 100.0 * ((wall.heat + later) / (e.fixed + e.moving) - 1.0) << " %\n";
  CHECK(wall.heat > 0.1 * later);
  CHECK(wall.heat + later == Approx(e.fixed + e.moving).epsilon(0.01));
  CHECK(2.0 * c.mould.fixed.power * c.total.value == Approx(e.fixed + e.moving));
  // A 2 mm wall: 8 s by the one-term formula for this melt, longer with air under the skin.
  CHECK(c.parts_ejectable.value > 7.0);
  CHECK(c.parts_ejectable.value < 14.0);
  CHECK(c.cool.low <= c.cool.value);
  CHECK(c.cool.high >= c.cool.value);
  CHECK(c.total.value == Approx(c.close + c.inject + c.hold + c.cool.value + c.open + c.eject));
  CHECK(r.settings->holding.front().pressure.melt == 5e6);
  const std::string sheet = setup_sheet(built.setup, r);
  for (const char* piece :
       {"SETUP SHEET: Disc", "switch-over at", "hydraulic", "ISO 20430", "warming up", "drying"})
    CHECK_THAT(sheet, Catch::Contains(piece));
}

TEST_CASE("a cooling time that is set opens the mould then", "[io]") {
  const BuiltSetup built = build_setup(disc("", "cooling_time = \"3 s\"\n"), cold_cards());
  const Result r = run_case(built.setup);
  CHECK(r.cycle->cool.value == Approx(3.0));
  CHECK(r.cycle->limit == CycleLimit::set);
  bool early = false;
  for (const Finding& f : r.verdict.findings) early |= f.rule == "early_ejection";
  CHECK(early);
  CHECK_FALSE(r.verdict.approved);
}

TEST_CASE("what is closed off is not meshed, and the resolved case says so again", "[io]") {
  const std::string two =
      "title = \"Two\"\n[layout]\nunit = \"mm\"\n"
      "[layout.sprue]\nat = [0, 0]\nlength = \"20 mm\"\nnozzle_diameter = \"2 mm\"\n"
      "foot_diameter = \"3 mm\"\n"
      "[[layout.part]]\nname = \"a\"\nthickness = \"1 mm\"\n"
      "rectangle = { centre = [16, 0], size = [10, 10] }\n"
      "[[layout.part]]\nname = \"b\"\nthickness = \"1 mm\"\n"
      "rectangle = { centre = [-16, 0], size = [10, 10] }\n"
      "[[layout.runner]]\nname = \"r\"\npoints = [[-10, 0], [10, 0]]\n"
      "section = { kind = \"round\", diameter = \"3 mm\" }\n"
      "[[layout.gate]]\nname = \"g-a\"\nfrom = [10, 0]\nto = [11, 0]\nwidth = \"1 mm\"\n"
      "depth = \"0.6 mm\"\n"
      "[[layout.gate]]\nname = \"g-b\"\nfrom = [-10, 0]\nto = [-11, 0]\nwidth = \"1 mm\"\n"
      "depth = \"0.6 mm\"\n"
      "[material]\ncard = \"./grade.toml\"\n[process]\nfill_time = \"0.5 s\"\n"
      "[accuracy]\nlevel = \"preview\"\n";
  const auto built = [](const std::string& text) {
    return build_setup(read_case_text(text, "case.toml", ""), cold_cards());
  };
  CHECK(built(two).setup.model.regions.size() == 2);
  const BuiltSetup closed = built(two + "[[closed]]\ngate = \"g-b\"\n");
  REQUIRE(closed.setup.model.regions.size() == 1);
  CHECK(closed.setup.model.regions[0].name == "a");
  const BuiltSetup again = built(resolved_case_text(closed));
  CHECK(again.setup.model.mesh.points == closed.setup.model.mesh.points);
  CHECK_THAT(test::refusal_of<CaseError>([&] { built(two + "[[closed]]\npart = \"c\"\n"); }),
             Catch::Contains("closed") && Catch::Contains("\"c\""));
}

TEST_CASE("what cannot be is refused with the key and what is allowed", "[io]") {
  using Catch::Contains;
  CHECK_THAT(build_error("", "ejection_temperature = \"230 degC\"\n"),
             Contains("process.ejection_temperature") && Contains("less than the melt"));
  CHECK_THAT(build_error("", "runner_ejection_temperature = \"35 degC\"\n"),
             Contains("process.runner_ejection_temperature") && Contains("more than the mould"));
  CHECK_THAT(build_error("", "cooling_time = \"soon\"\n"), Contains("process.cooling_time"));
  CHECK_THAT(build_error("[mould]\nmetal = \"cheese\"\n"),
             Contains("mould.metal") && Contains("aluminium-7075") && Contains("steel"));
  CHECK_THAT(build_error(replaced(channel, "30 degC", "2 degC")),
             Contains("coolant_temperature") && Contains("5 degC"));
  CHECK_THAT(build_error(replaced(channel, "40 mm", "7 mm")), Contains("mould.channel.pitch"));
  CHECK_THAT(build_error(replaced(channel, "15 mm", "3 mm")), Contains("mould.channel.depth"));
  CHECK_THAT(build_error(replaced(channel, "mould.channel", "mould.moving_channel")),
             Contains("mould.moving_channel") && Contains("only one half"));
  CHECK_THAT(build_error(replaced(channel, "30 degC", "74 degC")), Contains("mould.channel"));
  // Water that hardly runs.
  CHECK_THAT(build_error(replaced(channel, "100 cm3/s", "0.1 cm3/s")), Contains("mould.channel"));
}
