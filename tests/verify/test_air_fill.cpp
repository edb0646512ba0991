// Air in the fill: what it does to a front, against closed forms.
#include <array>
#include <cmath>
#include <iostream>
#include <numeric>

#include <catch2/catch.hpp>

#include "solver/flow/air_gas.hpp"
#include "solver/flow/air_vent.hpp"
#include "solver/stage/fill.hpp"
#include "solver/whole/run_case.hpp"
#include "tests/verify/sample_models.hpp"

using namespace firstshot;

namespace {

constexpr double mm = 1e-3, cm3 = 1e-6, MPa = 1e6, um = 1e-6;
const Newtonian newtonian{50.0, 0.0, 493.15};

double total_gas(const AirState& air) {
  return std::accumulate(air.pockets.mass.begin(), air.pockets.mass.end(), 0.0) + air.escaped +
         air.carried;
}

constexpr double strip_length = 100 * mm, strip_width = 10 * mm, gap = 1 * mm,
                 strip_volume = strip_length * strip_width * gap;
constexpr double melt_viscosity = 50.0;
constexpr double wall = 313.15;

/// Strip whose air has no way out.
Setup blind_strip(int nx, int steps) {
  Setup s = sample::isothermal_fill(sample::strip(strip_length, strip_width, gap, nx, 4), newtonian,
                                    2 * cm3, steps);
  s.air.enabled = true;
  s.air.parting_line_gap = 0.0;
  return s;
}

/// The same under a constant pressure until it rests.
Setup pressed_strip(double pressure, int nx, int steps) {
  Setup s = blind_strip(nx, steps);
  s.process.speed.clear();
  s.process.constant_pressure = pressure;
  s.process.time_limit = 300.0;
  return s;
}

/// Time at which the front of a Newtonian melt under pressure P has come to L, gas at the walls'
/// temperature: dL/dt = h²/(12 η L) (P - p0 L/(L0 - L)), integrated by Simpson's rule.
double time_to(double front, double P) {
  constexpr int n = 2000;
  const auto slowness = [&](double L) {
    return 12.0 * melt_viscosity * L /
           (gap * gap * (P - air::room_pressure * L / (strip_length - L)));
  };
  double sum = slowness(0.0) + slowness(front);
  for (int i = 1; i < n; ++i) sum += (i % 2 == 1 ? 4.0 : 2.0) * slowness(front * i / n);
  return sum * front / (3.0 * n);
}

/// Gives the strip its rims back: all its sides are open mouths so that they carry no drag.
void close_rims(Setup& s) {
  std::erase_if(s.model.open_sides, [&](const std::array<VertexId, 2>& side) {
    return s.model.mesh.points[side[0]].x > 0.0 || s.model.mesh.points[side[1]].x > 0.0;
  });
}

Vent end_vent(double wide, double deep, double land) {
  return {{{strip_length, 0.5 * strip_width}}, wide, deep, land, ""};
}

}  // namespace

TEST_CASE("the front in a blind strip stops where the gas has the pressure of the melt",
          "[verify][air][analytic]") {
  // Newtonian melt, gas at the walls' temperature: p V = p0 V0, at rest p_gas = p_melt, so the
  // void is p0/(p0 + P) of the strip.
  for (double P : {0.3 * MPa, 1.5 * MPa, 40 * MPa}) {
    const Result r = run_case(pressed_strip(P, 100, 200));
    const double left = air::room_pressure / (air::room_pressure + P);
    std::cout << "blind strip, " << P / MPa << " MPa: void " << 1 - r.filled_fraction << ", exact "
              << left << ", " << r.state.step << " steps\n";
    CHECK(1.0 - r.filled_fraction == Approx(left).epsilon(1e-5));
    CHECK(r.mass_error < 1e-9);
    CHECK(r.state.air.pockets.pressure[0] == Approx(P).epsilon(1e-5));
    const double gas = air::room_pressure * strip_volume / (air::gas_constant * wall);
    CHECK(total_gas(r.state.air) == Approx(gas).epsilon(1e-12));
  }
}

TEST_CASE("the front in a blind strip slows down as the integral says", "[verify][air][analytic]") {
  const double P = 1.5 * MPa;
  double last = 1.0;
  for (int steps : {100, 200, 400}) {
    Setup setup = pressed_strip(P, 100, steps);
    setup.process.time_limit = 0.9;
    setup.process.mould_temperature_fixed = setup.process.mould_temperature_moving = wall;
    double error = 0.0;
    int count = 0;
    run_case(setup, [&](const Snapshot& s) {
      const double front = strip_length * s.state.injected / strip_volume;
      if (front < 0.5 * strip_length || front > 0.92 * strip_length) return true;
      error += s.state.time / time_to(front, P) - 1.0;
      ++count;
      return true;
    });
    REQUIRE(count > 3);
    error = std::abs(error / count);
    std::cout << "blind strip under way, " << steps << " steps: time error " << 100 * error
              << " %\n";
    CHECK(error < 0.7 * last);
    last = error;
  }
  CHECK(last < 1e-2);
}

TEST_CASE("air that melt squeezes steadily through a vent has the closed form's pressure",
          "[verify][air][analytic]") {
  // p = [Q + √(Q² + 4 Kv² p0²)]/(2 Kv), whatever volume is left; see air_vent.hpp.
  Setup setup = blind_strip(100, 400);
  close_rims(setup);
  setup.air.vents = {end_vent(strip_width, 12 * um, 1.5 * mm)};
  const double Kv = air::slit_factor({strip_width, 12 * um, 1.5 * mm}) / air::viscosity(wall);
  const double exact = air::squeeze_pressure(2 * cm3, Kv, air::room_pressure);
  int count = 0;
  const Result r = run_case(setup, [&](const Snapshot& s) {
    const double share = s.state.injected / strip_volume;
    if (share < 0.9 || share > 0.98) return true;
    CHECK(s.state.air.pockets.pressure[0] + air::room_pressure == Approx(exact).epsilon(3e-3));
    ++count;
    return true;
  });
  CHECK(count > 5);
  CHECK(r.outcome == Outcome::filled);
  CHECK(r.state.air.pockets.mass[0] == 0.0);
  CHECK(r.state.air.pockets.ended[0] > 0.0);
}

TEST_CASE("a pocket of fixed volume empties as the closed form", "[verify][air][analytic]") {
  // (p - p0)/(p + p0) falls as exp(-2 p0 Kv t/V), isothermal, laminar slit. First order in the
  // step.
  Setup setup = blind_strip(20, 100);
  close_rims(setup);
  setup.air.vents = {end_vent(5 * mm, 10 * um, 1.5 * mm)};
  const Fill fill(setup);
  const double Kv = air::slit_factor({5 * mm, 10 * um, 1.5 * mm}) / air::viscosity(wall);
  const double room = air::room_pressure, start = 3 * room, time = 0.3;
  const double fall =
      (start - room) / (start + room) * std::exp(-2 * room * Kv * time / strip_volume);
  const double exact = room * (1 + fall) / (1 - fall);
  const std::vector<double> empty(fill.volumes().n_nodes(), 0.0);
  double last = 1.0;
  for (int steps : {50, 100, 200}) {
    AirPockets pockets(setup, fill.volumes());
    AirState air = pockets.start();
    air.pockets.mass[0] *= 3.0;
    air.pockets.pressure[0] = start - room;
    for (int s = 0; s < steps; ++s) {
      pockets.begin(air, empty, s * time / steps, time / steps);
      double low = 0.0, high = start;
      for (int i = 0; i < 100; ++i) {
        const double p = 0.5 * (low + high);
        (pockets.gas_volume(0, p) > strip_volume ? low : high) = p;
      }
      pockets.finish(air, empty, pockets.node_pocket(), std::vector<double>{low}, s * time / steps);
    }
    const double error = std::abs((air.pockets.pressure[0] + room) / exact - 1.0);
    CHECK(error < 0.7 * last);
    last = error;
  }
  CHECK(last < 2e-2);
}

TEST_CASE("fast compression is adiabatic, slow compression keeps the walls' temperature",
          "[verify][air]") {
  // A thick gap holds its heat for τ = h²/(π² α); a strip closed much faster follows the entropy
  // of real air, one closed much more slowly follows p V = const.
  for (const bool fast : {true, false}) {
    Setup setup = blind_strip(50, 2000);
    setup.process.speed = {{0.0, fast ? 2e-1 : 2e-9}};
    setup.process.time_limit = 1e4;
    setup.process.injection_pressure_max = 0.0;
    bool seen = false;
    run_case(setup, [&](const Snapshot& s) {
      const double ratio = strip_volume / s.state.air.pockets.volume[0];
      if (ratio < 10.0) return true;
      const double p = s.state.air.pockets.pressure[0] + air::room_pressure;
      const double T = s.state.air.pockets.temperature[0];
      const double bound = air::adiabatic_temperature(wall, p / air::room_pressure);
      if (fast) CHECK(T == Approx(bound).epsilon(2e-3));
      if (!fast) CHECK(T == Approx(wall).epsilon(2e-3));
      CHECK(p / air::room_pressure == Approx(ratio * T / wall).epsilon(1e-4));
      seen = true;
      return false;
    });
    CHECK(seen);
  }
}

TEST_CASE("gas pushes melt back when the press lets go, and no melt is made", "[verify][air]") {
  Setup setup = pressed_strip(10 * MPa, 100, 100);
  Result r = run_case(setup);
  const double full = r.filled_fraction;
  Restart restart{r.state, r.history};
  restart.state.mode = FillMode::pressure_limit;
  setup.process.constant_pressure = 0.5 * MPa;
  setup.process.time_limit = 600.0;
  r = run_case(setup, {}, &restart);
  const double left = air::room_pressure / (air::room_pressure + 0.5 * MPa);
  CHECK(r.filled_fraction < full);
  CHECK(1.0 - r.filled_fraction == Approx(left).epsilon(1e-3));
  CHECK(r.mass_error < 1e-9);
  for (double f : r.state.fill.span()) CHECK((f >= 0.0 && f <= 1.0));
}

TEST_CASE("a run with air goes on from a stored state with the same bits", "[verify][air]") {
  Setup setup = blind_strip(60, 100);
  close_rims(setup);
  setup.air.parting_line_gap = 5 * um;
  setup.process.time_limit = 2.0;
  std::vector<State> states;
  const Result whole = run_case(setup, [&](const Snapshot& s) {
    states.push_back(s.state);
    return true;
  });
  const Restart restart{states[states.size() / 2], {}};
  const Result rest = run_case(setup, {}, &restart);
  CHECK(rest.state == whole.state);
  CHECK(whole.outcome == Outcome::filled);
}

TEST_CASE("the vent proposed for a blind strip keeps its air under the limit", "[verify][air]") {
  Setup setup = blind_strip(60, 200);
  close_rims(setup);
  setup.process.injection_pressure_max = 40 * MPa;
  setup.air.smallest_pocket = 0.5e-9;
  const Result blind = run_case(setup);
  REQUIRE(blind.air_pockets.size() == 1);
  const AirPocketResult& trap = blind.air_pockets[0];
  CHECK(blind.outcome == Outcome::air);
  CHECK_FALSE(trap.vented);
  CHECK(trap.trapped);
  CHECK(trap.may_scorch);
  CHECK(trap.isothermal_temperature < trap.peak_temperature);
  CHECK(trap.peak_temperature < trap.adiabatic_temperature);
  CHECK(trap.at.x > 0.95 * strip_length);
  REQUIRE(trap.proposal);
  CHECK(trap.proposal->reaches);
  // As slits spread over the whole end, or the corners would keep a little air.
  setup.air.vents = {{{{strip_length, 0.0}, {strip_length, strip_width}},
                      trap.proposal->width,
                      trap.proposal->depth,
                      trap.proposal->land,
                      ""}};
  const Result cured = run_case(setup);
  CHECK(cured.outcome == Outcome::filled);
  REQUIRE(!cured.air_pockets.empty());
  for (const AirPocketResult& pocket : cured.air_pockets) {  // it splits before the last corner
    CHECK(pocket.vented);
    CHECK_FALSE(pocket.trapped);
    CHECK_FALSE(pocket.may_scorch);
  }
  CHECK(cured.state.air.pockets.peak_pressure[0] < setup.air.pressure_limit);
  double energy = 0.0;
  for (double e : cured.state.air.exit_energy.span()) energy += e;
  CHECK(energy > 0.0);
}
