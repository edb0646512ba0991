// The front against exact solutions: independence of the step, disc and strip.
#include <algorithm>
#include <cmath>
#include <complex>
#include <iostream>
#include <numbers>
#include <numeric>
#include <random>
#include <string>

#include <catch2/catch.hpp>

#include "solver/flow/front.hpp"
#include "solver/stage/fill.hpp"
#include "solver/whole/run_case.hpp"
#include "tests/verify/exact_solutions.hpp"
#include "tests/verify/sample_models.hpp"

using namespace firstshot;

namespace {

constexpr double mm = 1e-3;
constexpr double cm3 = 1e-6;
const Newtonian newtonian{500.0, 0.0, 493.15};
const PowerLaw thinning{1.5e4, 0.3, 0.0, 493.15};
const ViscosityLaw laws[] = {newtonian, thinning};
const exact::PowerLawMelt melts[] = {{500.0, 1.0}, {1.5e4, 0.3}};

/// Fill shares after a given time in `steps` equal steps at constant mobility.
std::vector<double> fill_in_steps(const ControlVolumes& v, const std::vector<double>& conductance,
                                  double time, int steps) {
  FrontSolver front(v, 0.0);
  std::vector<double> fill(v.n_nodes(), 0.0), pressure(v.n_nodes(), 0.0);
  Inlet inlet;
  inlet.flow = 1.0;
  for (int s = 0; s < steps; ++s) {
    front.begin(fill, pressure, time / steps);
    do {
      REQUIRE(front.iterate(conductance, inlet).converged);
    } while (front.moved() > 0);
    fill = front.fill();
    pressure = front.pressure();
  }
  return fill;
}

constexpr double mouth = 2 * mm, rim = 42 * mm;
constexpr double disc_angle = 0.4;  // a sector of the disc: the rest is the same [rad]

Setup disc_setup(double h, int rings, const ViscosityLaw& law, double flow) {
  return sample::isothermal_fill(sample::sector(mouth, rim, h, rings, disc_angle), law, flow,
                                 4 * rings);
}

bool inside(double x, double from, double to) { return x > from + 1e-9 && x < to - 1e-9; }

/// Relative error of a pressure, averaged over steps: the front in a row of control volumes is at
/// most half an element off, to either side.
struct MeanError {
  double sum = 0.0;
  int count = 0;
  void add(double found, double exact) {
    sum += found / exact - 1.0;
    ++count;
  }
  double value() const { return std::abs(sum / count); }
};

/// Largest difference of an arrival time from the exact one (0: leave the place out), in share of
/// the fill time. Arrival is when half a control volume is full, and those at mouth and end lie to
/// one side of their node.
template <class Exact>
double largest_delay(const Model& model, const Result& r, const Exact& exact) {
  double largest = 0.0;
  for (std::size_t i = 0; i < model.n_nodes(); ++i) {
    const double time = exact(model.position.vector()[i]);
    if (time > 0.0)
      largest = std::max(largest, std::abs(r.state.arrival.vector()[i] - time) / r.state.time);
  }
  return largest;
}

struct Row {
  int elements;
  double pressure, front;  // relative
};

/// "order 1.02", or nothing where both are rounding.
std::string order(double before, double after) {
  constexpr double rounding = 1e-9;
  return before < rounding ? "" : " (order " + std::to_string(std::log2(before / after)) + ")";
}

/// Prints the errors and the order at which each falls with the size of the elements.
void show(const char* what, int law, const std::vector<Row>& rows) {
  for (std::size_t k = 0; k < rows.size(); ++k) {
    const Row& before = rows[k > 0 ? k - 1 : k];
    std::cout << what << ", law " << law << ", " << rows[k].elements << " elements: pressure "
              << 100.0 * rows[k].pressure << " %"
              << (k > 0 ? order(before.pressure, rows[k].pressure) : "") << ", front "
              << 100.0 * rows[k].front << " %" << (k > 0 ? order(before.front, rows[k].front) : "")
              << "\n";
  }
}

}  // namespace

TEST_CASE("at constant mobility the front does not depend on the step", "[verify][analytic]") {
  // Baiocchi transform; Elliott & Janovsky, Proc. R. Soc. Edinb. A 88 (1981) 93
  // [ElliottJanovsky1981].
  std::mt19937 random(7);
  std::uniform_real_distribution<double> share(0.0, 1.0);
  for (int layout = 0; layout < 3; ++layout) {
    const Model model = sample::strip(1.0, 1.0, 1.0, 24, 20);
    const ControlVolumes v = control_volumes(model, {});
    std::vector<double> fluidity(model.mesh.triangles.size());
    for (double& s : fluidity) s = std::pow(10.0, 2.0 * share(random));
    std::vector<double> conductance(v.edges.size());
    edge_conductance(v, fluidity, {}, conductance);
    for (std::size_t e = 0; e < conductance.size(); ++e)  // random walls
      if (share(random) < 0.15) conductance[e] = 0.0;
    // Leave out what the walls cut off: nothing may be filled twice, nothing is left dry by force.
    const double time = 0.6;
    const std::vector<double> one = fill_in_steps(v, conductance, time, 1);
    for (int steps : {5, 20, 200}) {
      const std::vector<double> many = fill_in_steps(v, conductance, time, steps);
      double largest = 0.0;
      for (std::size_t i = 0; i < one.size(); ++i)
        largest = std::max(largest, std::abs(one[i] - many[i]));
      INFO("layout " << layout << ", " << steps << " steps");
      CHECK(largest < 1e-9);  // rounding of a few hundred solutions
    }
    const double filled = std::inner_product(one.begin(), one.end(), v.volume.begin(), 0.0);
    CHECK(filled == Approx(time).epsilon(1e-12));
  }
}

TEST_CASE("a strip fed at constant flow follows the closed form", "[verify][analytic][order]") {
  // p = (2K/h)((2n+1)/n 2Q/(w h²))ⁿ L [BirdStewartLightfoot]; the front is at x after x w h/Q.
  const double h = 1.5 * mm, w = 20 * mm, Q = 5 * cm3, length = 100 * mm;
  for (int law = 0; law < 2; ++law) {
    std::vector<Row> errors;
    for (int nx : {25, 50, 100}) {
      const Setup setup =
          sample::isothermal_fill(sample::strip(length, w, h, nx, nx / 5), laws[law], Q, 4 * nx);
      MeanError pressure;
      const Result r = run_case(setup, [&](const Snapshot& s) {
        const double front = Q * s.state.time / (w * h);
        if (front < 0.5 * length || s.state.mode != FillMode::speed) return true;
        pressure.add(s.state.injection_pressure, exact::slit_gradient(melts[law], h, w, Q) * front);
        return true;
      });
      const double front = largest_delay(setup.model, r, [&](const Point3& p) {
        return inside(p.x, 0.0, length) ? p.x * w * h / Q : 0.0;
      });
      errors.push_back({nx, pressure.value(), front});
    }
    show("strip", law, errors);
    for (const Row& e : errors)
      if (e.elements >= 50) {
        CHECK(e.pressure < 5e-3);
        CHECK(e.front < 5e-3);
      }
  }
}

TEST_CASE("a disc fed at constant flow follows the closed form", "[verify][analytic][order]") {
  // R² = r0² + Q t/(π h); p = (2K/h)((2n+1)/n Q/(π h²))ⁿ (R^(1-n) - r0^(1-n))/(1-n)
  // [BirdStewartLightfoot], integrated over the radius.
  const double h = 2 * mm, Q = 10 * cm3;
  for (int law = 0; law < 2; ++law) {
    std::vector<Row> errors;
    for (int rings : {30, 60}) {
      const Setup setup =
          disc_setup(h, rings, laws[law], Q * disc_angle / (2.0 * std::numbers::pi));
      MeanError pressure;
      const Result r = run_case(setup, [&](const Snapshot& s) {
        const double front = exact::disc_front(h, mouth, Q, s.state.time);
        if (front < 0.6 * rim || s.state.mode != FillMode::speed) return true;
        pressure.add(s.state.injection_pressure,
                     exact::disc_pressure(melts[law], h, mouth, Q, front));
        return true;
      });
      const double front = largest_delay(setup.model, r, [&](const Point3& p) {
        const double R = std::hypot(p.x, p.y);
        return inside(R, mouth, rim) ? std::numbers::pi * h * (R * R - mouth * mouth) / Q : 0.0;
      });
      errors.push_back({rings, pressure.value(), front});
    }
    show("disc", law, errors);
    CHECK(errors.back().pressure < 5e-3);
    CHECK(errors.back().front < 5e-3);
  }
}

TEST_CASE("a strip under constant pressure fills as the closed form", "[verify][analytic]") {
  // Newton L = h √(P t/(6 μ)); power law L = [(1 + 1/n) C t]^(n/(n+1)), C = n h/(2(2n+1)) (h
  // P/2K)^(1/n).
  const double h = 1.5 * mm, w = 10 * mm, P = 30e6;
  for (int law = 0; law < 2; ++law) {
    const double end = exact::strip_length(melts[law], h, P, 0.1);
    Setup setup = sample::isothermal_fill(sample::strip(end, w, h, 100, 5), laws[law], cm3, 400);
    setup.process.speed.clear();
    setup.process.constant_pressure = P;
    double error = 0.0;
    int count = 0;
    run_case(setup, [&](const Snapshot& s) {
      const double share = s.state.injected / (end * w * h);
      if (share < 0.5 || share > 0.98) return true;
      error += share * end / exact::strip_length(melts[law], h, P, s.state.time) - 1.0;
      ++count;
      return true;
    });
    error = std::abs(error / count);
    std::cout << "strip under constant pressure, law " << law << ": length error " << 100.0 * error
              << " %\n";
    CHECK(count > 20);
    CHECK(error < 5e-3);
  }
}

TEST_CASE("a disc under constant pressure fills as the closed form", "[verify][analytic]") {
  // dR/dt = Q/(2πRh) with the flow whose pressure at the mouth is the given one: exact::disc_time.
  const double h = 2 * mm;
  const double given[] = {30e6, 3e6};
  for (int law = 0; law < 2; ++law) {
    Setup setup = disc_setup(h, 60, laws[law], cm3);
    setup.accuracy.volume_steps = 400;
    setup.process.speed.clear();
    setup.process.constant_pressure = given[law];
    const Result r = run_case(setup);
    REQUIRE(r.outcome == Outcome::filled);
    const double front = largest_delay(setup.model, r, [&](const Point3& p) {
      const double R = std::hypot(p.x, p.y);
      return inside(R, mouth, rim) ? exact::disc_time(melts[law], h, mouth, given[law], R) : 0.0;
    });
    std::cout << "disc under constant pressure, law " << law << ": front late by up to "
              << 100.0 * front << " % of the fill time\n";
    CHECK(front < 5e-3);
  }
}

TEST_CASE("a step of many elements still tells when each place was reached", "[verify][analytic]") {
  // At constant flow exact in a strip; in a disc the order of the neighbours within a ring remains.
  // Half of a step is 10 % of the fill time with 5 steps.
  for (int steps : {5, 20, 80}) {
    const double h = 2 * mm, w = 10 * mm, length = 60 * mm, Q = 5 * cm3;
    const Setup strip =
        sample::isothermal_fill(sample::strip(length, w, h, 60, 4), newtonian, Q, steps);
    const double straight = largest_delay(strip.model, run_case(strip), [&](const Point3& p) {
      return inside(p.x, 0.0, length) ? p.x * w * h / Q : 0.0;
    });
    Setup disc = disc_setup(h, 60, newtonian, Q * disc_angle / (2.0 * std::numbers::pi));
    disc.accuracy.volume_steps = steps;
    const double round = largest_delay(disc.model, run_case(disc), [&](const Point3& p) {
      const double R = std::hypot(p.x, p.y);
      return inside(R, mouth, rim) ? std::numbers::pi * h * (R * R - mouth * mouth) / Q : 0.0;
    });
    std::cout << "front within " << steps << " steps: strip " << 100.0 * straight << " %, disc "
              << 100.0 * round << " % of the fill time\n";
    CHECK(straight < 1e-9);
    CHECK(round < 2e-3);
  }
}

TEST_CASE("melt in the cavity is what went through the inlet", "[verify][balance]") {
  Setup setup = sample::isothermal_fill(sample::strip(60 * mm, 20 * mm, 1.2 * mm, 30, 10), thinning,
                                        5 * cm3, 60);
  setup.isothermal = false;
  setup.material.no_flow_temperature = 400.0;
  setup.process.barrel_compressible = true;
  setup.accuracy.tolerance = 0.02;
  const Result r = run_case(setup);
  CHECK(r.outcome == Outcome::filled);
  CHECK(r.mass_error < 1e-9);
}

TEST_CASE("pressure scales with flow, thickness and size as the law says", "[verify][balance]") {
  // p ~ Q^n; same V/h under scaling of every length: same pressure for any law.
  const auto peak = [](double scale, double flow, const ViscosityLaw& law) {
    return run_case(sample::isothermal_fill(
                        sample::strip(40 * mm * scale, 10 * mm * scale, mm * scale, 20, 5), law,
                        flow, 40))
        .peak_pressure;
  };
  const ViscosityLaw cross = CrossWlf{0.252, 3.08e4, 4.76e10, 373.15, 0.0, 25.74, 61.06};
  CHECK(peak(1.0, 8 * cm3, thinning) / peak(1.0, cm3, thinning) ==
        Approx(std::pow(8.0, 0.3)).epsilon(1e-4));
  CHECK(peak(2.0, 8 * cm3, cross) == Approx(peak(1.0, cm3, cross)).epsilon(1e-4));
}

TEST_CASE("a mirrored or turned mesh fills alike", "[verify][balance]") {
  Model model = sample::strip(40 * mm, 10 * mm, mm, 20, 5);
  const Setup plain = sample::isothermal_fill(model, thinning, cm3, 40);
  for (Point& p : model.mesh.points.span()) p = {-p.y, p.x};
  const Setup turned = sample::isothermal_fill(model, thinning, cm3, 40);
  for (Point& p : model.mesh.points.span()) p.x = -p.x;
  for (Triangle& t : model.mesh.triangles.span()) std::swap(t[1], t[2]);
  const Setup mirrored = sample::isothermal_fill(model, thinning, cm3, 40);
  const double p = run_case(plain).peak_pressure;
  CHECK(run_case(turned).peak_pressure == Approx(p).epsilon(1e-6));
  CHECK(run_case(mirrored).peak_pressure == Approx(p).epsilon(1e-6));
}

TEST_CASE("a growing blot keeps its harmonic moments about the source", "[verify][analytic]") {
  // ∫ z^k dA over the melt, z = x + iy from the source, stays as it was for k ≥ 1, and the area
  // grows by what is fed: S. Richardson, J. Fluid Mech. 56 (1972) 609 (from memory, unconfirmed).
  // z, z² and z³ are harmonic on a mesh of squares too, so there it holds to rounding, with any
  // step.
  const int n = 60;
  const Model model = sample::strip(1.0, 1.0, 1.0, n, n);
  const ControlVolumes v = control_volumes(model, {});
  std::vector<double> conductance(v.edges.size());
  edge_conductance(v, std::vector<double>(model.mesh.triangles.size(), 1.0), {}, conductance);
  std::vector<std::complex<double>> z(v.n_nodes());
  Inlet inlet;
  inlet.flow = 1.0;
  const double x0 = 0.55, y0 = 0.5;
  const auto from_source = [&](std::size_t i) {
    const Point3& p = model.position[make_id<NodeId>(i)];
    return std::complex<double>(p.x - x0, p.y - y0);
  };
  for (std::size_t i = 0; i < z.size(); ++i)
    if (std::abs(from_source(i)) < std::abs(from_source(inlet.node))) inlet.node = i;
  std::vector<double> fill(v.n_nodes(), 0.0), pressure(v.n_nodes(), 0.0);
  for (std::size_t i = 0; i < z.size(); ++i) {
    z[i] = from_source(i) - from_source(inlet.node);
    fill[i] = std::abs(z[i] - std::complex<double>(0.06, 0.03)) < 0.12 ? 1.0 : 0.0;
  }
  const auto moment = [&](int k) {
    std::complex<double> sum = 0.0;
    for (std::size_t i = 0; i < z.size(); ++i) sum += v.volume[i] * fill[i] * std::pow(z[i], k);
    return sum;
  };
  const double area = moment(0).real();
  const std::complex<double> before[] = {moment(1), moment(2), moment(3)};
  CHECK(std::abs(before[0]) > 0.4 * area * 0.12);
  const double fed = 2.0 * area;
  FrontSolver front(v, 0.0);
  for (int s = 0; s < 8; ++s) {
    front.begin(fill, pressure, fed / 8);
    do {
      REQUIRE(front.iterate(conductance, inlet).converged);
    } while (front.moved() > 0);
    fill = front.fill();
    pressure = front.pressure();
  }
  CHECK(moment(0).real() == Approx(area + fed).epsilon(1e-12));
  for (int k = 1; k <= 3; ++k) {
    INFO("moment " << k);
    CHECK(std::abs(moment(k) - before[k - 1]) < 1e-10 * area * std::pow(0.2, k));
  }
  // The middle of the melt comes nearer to the source as it grows.
  CHECK(std::abs(moment(1)) / moment(0).real() < 0.4 * std::abs(before[0]) / area);
}
