// Each rule of the verdict on a frame that breaks it and on one that does not.
#include <algorithm>

#include <catch2/catch.hpp>

#include "solver/whole/verdict.hpp"

namespace firstshot {
namespace {

/// A run that no rule objects to.
struct Good {
  Setup setup;
  Result result;
  FrameFigures figures;
  Good() {
    setup.process.injection_pressure_max = 100e6;
    setup.press.clamp_force = 600e3;
    result.outcome = Outcome::filled;
    result.peak_pressure = 79e6;
    result.peak_opening_force = 530e3;
    result.fill_time = 0.5;
    result.parts = {{"a", 1e-6, 1e-3, 1.0, 0.1, 0.36, 1, 0.34},
                    {"b", 1e-6, 1e-3, 1.0, 0.1, 0.5, 2, 0.48}};
    result.gates = {{"g-a", "a", 1e-3, 6e-4, 1e-3, 1e6, 3.9e4}};
    figures.mass = 0.01;
    figures.mass_left = 0.0052;
    figures.mass_right = 0.0048;
    figures.mass_top = figures.mass_bottom = 0.005;
  }
  Verdict verdict() const { return judge(setup, result, figures); }
};

const Finding* find(const Verdict& v, const std::string& rule) {
  const auto f = std::find_if(v.findings.begin(), v.findings.end(),
                              [&](const Finding& finding) { return finding.rule == rule; });
  return f == v.findings.end() ? nullptr : &*f;
}

WeldLine line(double temperature, bool visible) {
  WeldLine w;
  w.part = std::string(1, 'a');
  w.visible = visible;
  w.length = 5e-3;
  w.temperature = w.temperature_min = temperature;
  w.points = {{{1e-3, 2e-3}, 10, temperature, 0, 0.3}, {{3e-3, 2e-3}, 10, temperature, 0, 0.3}};
  return w;
}

}  // namespace

TEST_CASE("a frame within all limits is approved without a finding", "[solver][verdict]") {
  const Verdict v = Good().verdict();
  CHECK(v.approved);
  CHECK(v.findings.empty());
}

TEST_CASE("a short shot stops the frame and names cause and cure", "[solver][verdict]") {
  Good good;
  good.result.outcome = Outcome::pressure_limit;
  good.result.short_shots = {{"b", 2e-8, ShortCause::pressure, 120e6, {}, {0.01, 0.02}}};
  const Verdict v = good.verdict();
  CHECK_FALSE(v.approved);
  REQUIRE(v.findings.size() == 1);
  const Finding& f = v.findings[0];
  CHECK(f.rule == "short_shot");
  CHECK(f.severity == Severity::stop);
  CHECK(f.part == "b");
  CHECK(f.value.value() == Approx(20.0));
  CHECK(f.at->x == 0.01);
  CHECK_THAT(f.text, Catch::Contains("20.0 mm3") && Catch::Contains("120 MPa"));
}

TEST_CASE("what would fill a short part is held against the press", "[solver][verdict]") {
  Good good;
  good.result.outcome = Outcome::pressure_limit;
  const auto text_of = [&](const ShortShot& s) {
    good.result.short_shots = {s};
    return find(good.verdict(), "short_shot")->text;
  };
  const ShortShot weak{"b", 2e-8, ShortCause::pressure, 120e6, {}, {}};
  good.setup.press.melt_pressure_max = 130e6;
  CHECK_THAT(text_of(weak), !Catch::Contains("of the press"));
  good.setup.press.melt_pressure_max = 110e6;
  CHECK_THAT(text_of(weak), Catch::Contains("more than the 110 MPa of the press"));
  const ShortShot slow{"b", 2e-8, ShortCause::freezing, {}, 3.0, {}};
  good.setup.press.screw_diameter = 30e-3;
  good.setup.press.speed_max = 0.2;  // 141 cm3/s
  good.setup.process.speed = {{0.0, 40e-6}};
  CHECK_THAT(text_of(slow), Catch::Contains("3.0 times") && !Catch::Contains("of the press"));
  good.setup.process.speed = {{0.0, 50e-6}};
  CHECK_THAT(text_of(slow), Catch::Contains("more than the 141 cm3/s of the press"));
  const ShortShot far{"b", 2e-8, ShortCause::freezing, {}, {}, {}};
  CHECK_THAT(text_of(far), Catch::Contains("no pressure or speed can be named"));
  const ShortShot air{"b", 2e-8, ShortCause::air, {}, {}, {}};
  CHECK_THAT(text_of(air), !Catch::Contains("can be named"));
}

TEST_CASE("a shot that ends early with full parts is not approved", "[solver][verdict]") {
  Good good;
  good.result.outcome = Outcome::interrupted;
  CHECK(find(good.verdict(), "not_full") != nullptr);
  CHECK_FALSE(good.verdict().approved);
}

TEST_CASE("a limit is broken above it only, and the case sets it", "[solver][verdict][limit]") {
  Good good;
  SECTION("injection pressure") {
    good.result.peak_pressure = 81e6;
    const Verdict v = good.verdict();
    REQUIRE(find(v, "injection_pressure") != nullptr);
    CHECK(find(v, "injection_pressure")->margin.value() == Approx(-1.0 / 80.0));
    CHECK(v.approved);
    good.setup.limits.pressure_share = 0.9;
    CHECK(good.verdict().findings.empty());
  }
  SECTION("clamp force") {
    good.result.peak_opening_force = 550e3;
    REQUIRE(find(good.verdict(), "clamp_force") != nullptr);
    CHECK(good.verdict().approved);
    good.result.peak_opening_force = 601e3;
    CHECK_FALSE(good.verdict().approved);
  }
  SECTION("one part nearly full long before the last, whenever its last corner fills") {
    good.result.parts[0].full = 0.49;
    good.result.parts[0].nearly_full = 0.32;
    REQUIRE(find(good.verdict(), "fill_time_spread") != nullptr);
    CHECK(find(good.verdict(), "fill_time_spread")->part == "a");
    CHECK(find(good.verdict(), "fill_time_spread")->value.value() == Approx(0.16 / 0.48));
    good.setup.limits.fill_time_spread = 0.34;
    CHECK(good.verdict().findings.empty());
  }
  SECTION("one side heavier") {
    good.figures.mass_left = 0.0053;
    good.figures.mass_right = 0.0047;
    REQUIRE(find(good.verdict(), "weight_left_right") != nullptr);
    CHECK(find(good.verdict(), "weight_left_right")->value.value() == Approx(0.06));
    CHECK(find(good.verdict(), "weight_top_bottom") == nullptr);
    good.setup.limits.side_weight = 0.1;
    CHECK(good.verdict().findings.empty());
  }
  SECTION("shear rate in a gate") {
    good.result.gates[0].peak_shear_rate = 1e7;
    CHECK(good.verdict().findings.empty());  // no limit of its own
    good.setup.limits.gate_shear_rate = 4e4;
    good.result.gates[0].peak_shear_rate = 3.9e4;
    CHECK(good.verdict().findings.empty());
    good.result.gates[0].peak_shear_rate = 4.1e4;
    REQUIRE(find(good.verdict(), "gate_shear_rate") != nullptr);
    good.setup.limits.gate_shear_rate = 5e4;
    CHECK(good.verdict().findings.empty());
  }
}

TEST_CASE("weld lines count on visible faces, cold ones more", "[solver][verdict][weld]") {
  Good good;
  const double melt = good.setup.process.melt_temperature;
  good.result.weld_lines = {line(melt - 50.0, false)};
  CHECK(good.verdict().findings.empty());
  good.result.weld_lines.push_back(line(melt - 5.0, true));
  REQUIRE(find(good.verdict(), "visible_weld_line") != nullptr);
  CHECK(find(good.verdict(), "visible_weld_line")->severity == Severity::note);
  good.result.weld_lines.push_back(line(melt - 30.0, true));
  const Verdict v = good.verdict();
  REQUIRE(v.findings.size() == 1);
  CHECK(v.findings[0].rule == "cold_weld_line");
  CHECK(v.findings[0].severity == Severity::look);
  CHECK(v.findings[0].margin.value() == Approx(-0.5));
  CHECK_THAT(v.findings[0].text, Catch::Contains("2 weld lines"));
  good.result.weld_lines[2].kind = MeetingKind::meld;
  CHECK(find(good.verdict(), "cold_weld_line") == nullptr);
}

TEST_CASE("caught air and what may scorch are looked at", "[solver][verdict][air]") {
  Good good;
  AirPocketResult pocket;
  pocket.part = std::string(1, 'a');
  good.result.air_pockets = {pocket};
  CHECK(good.verdict().findings.empty());
  good.result.air_pockets[0].trapped = true;
  good.result.air_pockets[0].volume = 1e-9;
  good.result.air_pockets[0].proposal.emplace().text = "a vent there";
  REQUIRE(find(good.verdict(), "trapped_air") != nullptr);
  CHECK_THAT(find(good.verdict(), "trapped_air")->text, Catch::Contains("; a vent there"));
  good.result.air_pockets[0].may_scorch = true;
  good.result.air_pockets[0].peak_temperature = 700.0;
  REQUIRE(find(good.verdict(), "may_scorch") != nullptr);
  CHECK(find(good.verdict(), "trapped_air") == nullptr);
}

TEST_CASE("gaps deeper than the melt allows flash, each at its place", "[solver][verdict][air]") {
  Good good;
  good.setup.material.vent_depth_max = 30e-6;
  good.setup.air.vents = {{{{0.01, 0.02}}, 4e-3, 30e-6, 1e-3, {}}};
  CHECK(good.verdict().findings.empty());
  good.setup.air.vents.push_back({{{0.03, 0.02}}, 4e-3, 60e-6, 1e-3, {}});
  good.setup.ejectors = {{"p", {0.04, 0.05}, 3e-3, 36e-6, 8e-3, {}}};
  good.setup.air.parting_line_gap = 33e-6;
  const Verdict v = good.verdict();
  CHECK_FALSE(v.approved);
  REQUIRE(v.findings.size() == 3);  // deepest first
  for (const Finding& f : v.findings) {
    CHECK(f.rule == "flash");
    CHECK(f.severity == Severity::stop);
    CHECK(f.limit.value() == Approx(30.0));
    CHECK_THAT(f.source, Catch::Contains("card"));
  }
  CHECK_THAT(v.findings[0].text, Catch::Contains("vent 2 is 60 um deep"));
  CHECK(v.findings[0].margin.value() == Approx(-1.0));
  CHECK(v.findings[0].at->x == 0.03);
  CHECK(v.findings[1].at->y == 0.05);
  CHECK_FALSE(v.findings[2].at);
}

TEST_CASE("the jump of the pressure is what its trend does not explain", "[solver][balance]") {
  // 10 Pa/s until 1 s, then 30 Pa/s.
  std::vector<HistoryEntry> history;
  for (int i = 0; i <= 20; ++i) {
    HistoryEntry h;
    h.time = 0.1 * i;
    h.injection_pressure = 10.0 * h.time + (i > 10 ? 20.0 * (h.time - 1.0) : 0.0);
    history.push_back(h);
  }
  CHECK(pressure_jump(history, 1.0, 0.5).value() == Approx(10.0));
  CHECK(pressure_jump(history, 0.6, 0.3).value() == Approx(0.0).margin(1e-12));
  CHECK_FALSE(pressure_jump(history, 1.9, 0.5));
  CHECK_FALSE(pressure_jump(history, 0.1, 0.5));
}

}  // namespace firstshot
