// Barrel, blend, cost, press settings and the rules of the cycle, by hand.
#include <algorithm>
#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "solver/assess/press_settings.hpp"
#include "solver/whole/verdict_cycle.hpp"

namespace firstshot {
namespace {

Press press() {
  Press p;
  p.screw_diameter = 30e-3;
  p.stroke_max = 100e-3;
  p.plasticising_rate = 5e-3;
  p.intensification = 10.0;
  p.clamp_force = 500e3;
  return p;
}

const Finding* find(const std::vector<Finding>& list, const std::string& rule) {
  const auto it =
      std::find_if(list.begin(), list.end(), [&](const Finding& f) { return f.rule == rule; });
  return it == list.end() ? nullptr : &*it;
}

/// A run that no rule of the cycle objects to.
struct Good {
  Setup setup;
  Result result;
  Good() {
    setup.press = press();
    CycleResult c;
    c.inject = 0.5;
    c.hold = 4.0;
    c.cool = {12.0, 11.0, 13.0};
    c.total = {20.0, 19.0, 21.0};
    c.parts_ejectable = c.runners_ejectable = {16.5, 15.5, 17.5};
    c.barrel.stroke_share = 0.5;
    c.barrel.residence = 200.0;
    result.cycle = c;
  }
  std::vector<Finding> findings() const { return cycle_findings(setup, result); }
};

}  // namespace

TEST_CASE("the shot is a share of the stroke, and melt stays by the content of the barrel",
          "[solver][cycle]") {
  Material m;
  m.density_melt = 1000.0;
  const double area = std::numbers::pi / 4.0 * 9e-4;
  const double mass = 1000.0 * area * 25e-3;  // a quarter of the stroke
  BarrelFigures b = barrel_figures(press(), m, mass, 30.0);
  CHECK(b.stroke_share == Approx(0.25));
  CHECK(b.cushion == Approx(3e-3));
  CHECK(b.dosing_stroke == Approx(28e-3));
  CHECK(b.recovery == Approx(mass / 5e-3));
  // Twice the largest shot along the screw, and the cushion: (200 + 3)/25 shots.
  CHECK(b.residence == Approx(203.0 / 25.0 * 30.0));
  Press known = press();
  known.barrel_volume = 47e-3 * area;
  CHECK(barrel_figures(known, m, mass, 30.0).residence == Approx(50.0 / 25.0 * 30.0));
}

TEST_CASE("a blend shifts the flow by the logarithmic rule", "[solver][cycle]") {
  // Half and half of melt flow rates 1 and 2: their geometric mean [Nielsen1977].
  const BlendFigures f = blend_figures({0.5, 0.0, 2.0, 1.0});
  CHECK(f.flow_ratio == Approx(std::sqrt(2.0)));
  CHECK(f.viscosity_factor == Approx(1.0 / std::sqrt(2.0)));
  CHECK(f.viscosity_factor_low == Approx(0.5));
  CHECK(f.viscosity_factor_high == 1.0);
  const BlendFigures stiff = blend_figures({0.5, 0.0, 0.5, 1.0});
  CHECK(stiff.viscosity_factor_low == 1.0);
  CHECK(stiff.viscosity_factor_high == Approx(2.0));
}

TEST_CASE("regrind brings colour along", "[solver][cycle]") {
  Blend b{0.2, 0.02, 1.0, 1.0};
  CHECK(blend_figures(b).colour == Approx(0.025));  // c = 2 % + 20 % c
  b.colour = RegrindColour::natural;
  CHECK(blend_figures(b).colour == Approx(0.02));
  CHECK(blend_figures(b).foreign_colour == 0.0);
  b.colour = RegrindColour::other;  // 2 % own, 0.4 % foreign
  CHECK(blend_figures(b).foreign_colour == Approx(0.4 / 2.4));
}

TEST_CASE("a frame costs what its parts of the sum say", "[solver][cycle]") {
  CostRates r;
  r.material = 3.0;
  r.masterbatch = 10.0;
  r.regrind = 0.5;
  r.machine = 36.0;
  r.labour = 30.0;
  r.attendance = 0.5;
  r.scrap = 0.1;
  r.mould = 10000.0;
  r.volume = 20000.0;
  r.sale = 2.0;
  r.return_days = 10.0;
  r.return_day = 300.0;
  r.return_work = 500.0;
  r.return_share = 0.05;
  const CostResult c = cost_of(r, {0.1, 0.02, 1.0, 1.0}, {0.02, 0.2, 30.0, 20.0, 40.0});
  CHECK(c.material == Approx(0.02 * 0.98 * 3.0));
  CHECK(c.colour == Approx(0.02 * 0.02 * 10.0));
  CHECK(c.regrind_credit == Approx(0.002 * 2.5));
  CHECK(c.runner_unused == Approx(0.002));
  CHECK(c.machine == Approx(0.3));
  CHECK(c.labour == Approx(0.125));
  const double running = (0.0588 + 0.004 - 0.005 + 0.425) / 0.9;
  CHECK(c.per_frame == Approx(running));
  CHECK(c.per_frame_low == Approx((0.0578 + 0.425 * 2.0 / 3.0) / 0.9));
  CHECK(c.per_frame_high == Approx((0.0578 + 0.425 * 4.0 / 3.0) / 0.9));
  // What a good frame carries adds up.
  CHECK(c.material + c.colour - c.regrind_credit + c.machine + c.labour + c.scrap ==
        Approx(c.per_frame));
  CHECK(c.mould_per_frame.value() == Approx(0.5));
  CHECK(c.total_per_frame.value() == Approx(running + 0.5));
  CHECK(c.break_even_frames.value() == Approx(10000.0 / (2.0 - running)));
  CHECK(c.mould_return.value() == Approx(3500.0));
  CHECK(c.mould_return_expected.value() == Approx(175.0));
  CHECK(cost_of_time(r, 30.0) == Approx(0.425 / 0.9));
  r.drying = 0.2;
  const CostResult dried = cost_of(r, {0.1, 0.02, 1.0, 1.0}, {0.02, 0.2, 30.0, 20.0, 40.0});
  CHECK(dried.drying == Approx(0.004));
  CHECK(dried.per_frame == Approx(running + 0.004 / 0.9));
  r.sale = 0.4;  // below the running cost: never
  r.volume = 0.0;
  const CostResult loss = cost_of(r, {}, {0.02, 0.2, 30.0, 20.0, 40.0});
  CHECK_FALSE(loss.break_even_frames);
  CHECK_FALSE(loss.total_per_frame);
}

TEST_CASE("settings stand in the terms of the press", "[solver][cycle]") {
  Setup setup;
  setup.press = press();
  setup.process.melt_temperature = 493.15;
  setup.process.injection_pressure_max = 100e6;
  const double area = screw_area(setup.press);
  setup.process.speed = {{0.0, 40e-3 * area}, {0.5, 20e-3 * area}};
  setup.process.switch_over = {SwitchOverKind::volume, 0.9};
  setup.process.holding = {{30e6, 2.0}};
  CycleResult c;
  c.barrel.shot_volume = 50e-3 * area;
  c.barrel.cushion = 4e-3;
  c.barrel.dosing_stroke = 54e-3;
  c.cool = {10.0, 9.0, 11.0};
  const PressSettings s = press_settings(setup, c, State{}, 60e6, 200e3);
  CHECK(s.dosing_position == Approx(54e-3));
  CHECK(s.switch_over_position == Approx(9e-3));  // 90 % of 50 mm down from 54
  REQUIRE(s.speeds.size() == 2);
  CHECK(s.speeds[0].from == Approx(54e-3));
  CHECK(s.speeds[0].to == Approx(29e-3));
  CHECK(s.speeds[0].speed == Approx(40e-3));
  CHECK(s.speeds[1].to == Approx(9e-3));
  CHECK(s.peak.hydraulic == Approx(6e6));
  CHECK(s.holding.front().pressure.hydraulic == Approx(3e6));
  CHECK(s.clamp_force == Approx(220e3));
  CHECK(s.zones.back() == 493.15);
  CHECK(std::is_sorted(s.zones.begin(), s.zones.end()));
}

TEST_CASE("pins on visible faces and parts without a pin near are found", "[solver][cycle]") {
  Good good;
  good.result.ejection.parts.resize(2);
  good.result.ejection.parts[0].part = "window";
  good.result.ejection.parts[0].grip = 40e-6;
  good.result.ejection.parts[0].nearest_pin = 30e-3;
  good.result.ejection.parts[1].part = "near";
  good.result.ejection.parts[1].grip = 30e-6;
  good.result.ejection.parts[1].nearest_pin = 5e-3;
  CHECK(find(good.findings(), "ejector_far") == nullptr);  // no pins are given at all
  good.result.ejection.pins = {{"p1", {0.01, 0.02}, 2e-3, "deck", true},
                               {"p2", {}, 2e-3, "", false}};
  const auto list = good.findings();
  REQUIRE(find(list, "ejector_mark") != nullptr);
  CHECK(find(list, "ejector_mark")->part == "deck");
  REQUIRE(find(list, "ejector_far") != nullptr);
  CHECK(find(list, "ejector_far")->part == "window");
}

TEST_CASE("grip is the walls of openings, and a pin knows what it stands on", "[solver][cycle]") {
  // A square frame of 3 x 3 cells of 10 mm without the middle one, 1 mm thick.
  Setup setup;
  Model& m = setup.model;
  for (int j = 0; j < 4; ++j)
    for (int i = 0; i < 4; ++i) m.mesh.points.push_back({0.01 * i, 0.01 * j});
  const auto v = [](std::size_t i, std::size_t j) { return make_id<VertexId>(4 * j + i); };
  for (std::size_t j = 0; j < 3; ++j)
    for (std::size_t i = 0; i < 3; ++i) {
      if (i == 1 && j == 1) continue;
      m.mesh.triangles.push_back({v(i, j), v(i + 1, j), v(i + 1, j + 1)});
      m.mesh.triangles.push_back({v(i, j), v(i + 1, j + 1), v(i, j + 1)});
    }
  m.mesh.region = TriField<std::int32_t>(16, 0);
  m.thickness = TriField<double>(16, 1e-3);
  m.regions = {{"window", Role::part, true}};
  setup.ejectors = {{"a", {5e-3, 5e-3}, 2e-3, 1e-5, 5e-3, {}},
                    {"b", {15e-3, 15e-3}, 2e-3, 1e-5, 5e-3, {}}};
  const EjectionFigures f = ejection_figures(setup);
  REQUIRE(f.parts.size() == 1);
  CHECK(f.parts[0].grip == Approx(40e-3 * 1e-3));
  CHECK(f.parts[0].at.x == Approx(15e-3));
  CHECK(f.parts[0].nearest_pin == Approx(0.0).margin(1e-9));
  CHECK(f.pins[0].stands_on == "window");
  CHECK(f.pins[0].on_visible);
  CHECK(f.pins[1].stands_on.empty());
}

TEST_CASE("drivers of warp are told, the largest first", "[solver][cycle]") {
  Good good;
  good.result.warp = {{"deck", WarpCause::uneven_shrinkage, 1e-3},
                      {"deck", WarpCause::uneven_cooling, 1e-4}};
  const auto list = good.findings();
  REQUIRE(find(list, "warp_driver") != nullptr);
  CHECK(find(list, "warp_driver")->severity == Severity::note);
  CHECK_THAT(find(list, "warp_driver")->text, Catch::Contains("0.10 %"));
  good.result.warp.front().strain = 1e-4;
  CHECK(find(good.findings(), "warp_driver") == nullptr);
}

TEST_CASE("a cycle within all limits gives no finding", "[solver][cycle]") {
  CHECK(Good().findings().empty());
}

TEST_CASE("each rule of the cycle finds what it is for", "[solver][cycle]") {
  Good good;
  CycleResult& c = *good.result.cycle;
  SECTION("press too small, stroke too long or too short") {
    c.barrel.stroke_share = 1.2;
    CHECK(find(good.findings(), "press_too_small")->severity == Severity::stop);
    c.barrel.stroke_share = 0.85;
    CHECK(find(good.findings(), "stroke_long")->limit.value() == 0.8);
    c.barrel.stroke_share = 0.1;
    CHECK(find(good.findings(), "stroke_short")->margin.value() < 0.0);
  }
  SECTION("melt too long in the barrel") {
    c.barrel.residence = 400.0;
    CHECK(find(good.findings(), "residence_time") != nullptr);
  }
  SECTION("too much regrind, of another colour") {
    good.setup.blend = {0.25, 0.02, 1.0, 1.0, RegrindColour::other};
    CHECK(find(good.findings(), "regrind_share")->value.value() == 0.25);
    CHECK(find(good.findings(), "foreign_colour") != nullptr);
  }
  SECTION("opened too early") {
    c.limit = CycleLimit::set;
    CooledPiece hot;
    hot.name = "keel";
    hot.ejectable = 18.0;
    c.parts = {hot};
    const auto list = good.findings();
    const Finding* f = find(list, "early_ejection");
    REQUIRE(f != nullptr);
    CHECK(f->severity == Severity::stop);
    CHECK(f->part == "keel");
    CHECK_THAT(f->text, Catch::Contains("18.0 s"));
  }
  SECTION("held longer than anything needs to cool") {
    c.hold = 20.0;
    CHECK(find(good.findings(), "holding_too_long") != nullptr);
  }
  SECTION("thick runners and slow screws are told") {
    c.runner_cost = 5.0;
    CHECK(find(good.findings(), "runners_decide")->severity == Severity::note);
    c.limit = CycleLimit::screw;
    CHECK(find(good.findings(), "screw_decides") != nullptr);
  }
  SECTION("one piece alone keeps the mould shut") {
    DecidingPiece d;
    d.piece.name = "well";
    d.piece.gap = 5e-3;
    d.piece.ejectable = 16.5;
    d.next = "sprue";
    d.enough = 0.9;
    d.enough_saves = 3.0;
    c.deciding = d;
    const Finding f = *find(good.findings(), "one_piece_decides");
    CHECK(f.severity == Severity::look);
    CHECK_THAT(f.text, Catch::Contains("4.5 instead of 5.0 mm") && Catch::Contains("save 3.0 s"));
    c.deciding->enough_saves = 1.0;
    CHECK(find(good.findings(), "one_piece_decides")->severity == Severity::note);
    c.deciding->enough_saves = 0.1;
    CHECK(find(good.findings(), "one_piece_decides") == nullptr);
  }
  SECTION("cooling water that warms, crawls, or leaves the mould hotter than reckoned with") {
    c.mould.follows = true;
    c.mould.surface_fixed = c.mould.surface_moving = c.mould.fixed.surface =
        c.mould.moving.surface = 313.15;
    c.mould.fixed.bore.reynolds = c.mould.moving.bore.reynolds = 8000.0;
    CHECK(good.findings().empty());
    c.mould.fixed.water_rise = 6.0;
    c.mould.moving.bore.reynolds = 2000.0;
    c.mould.moving.surface = 316.0;
    CHECK(find(good.findings(), "water_rise") != nullptr);
    CHECK(find(good.findings(), "water_laminar") != nullptr);
    CHECK(find(good.findings(), "mould_temperature_off") != nullptr);
  }
}

}  // namespace firstshot
