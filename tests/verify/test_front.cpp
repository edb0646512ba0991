// The front against exact solutions: independence of the step, disc and strip.
#include <algorithm>
#include <cmath>
#include <iostream>
#include <numbers>
#include <random>

#include <catch2/catch.hpp>

#include "exact_solutions.hpp"
#include "sample_models.hpp"
#include "solver/flow/front.hpp"
#include "solver/stage/fill.hpp"
#include "solver/whole/run_case.hpp"

using namespace firstshot;

namespace {

constexpr double mm = 1e-3;
constexpr double cm3 = 1e-6;
const Newtonian newtonian{500.0, 0.0, 493.15};
const PowerLaw thinning{1.5e4, 0.3, 0.0, 493.15};

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

/// Largest error of the length of flow, in share of the length, over the second half of the fill,
/// and of the pressure at the moments when the front stands half-way through a row of control
/// volumes.
struct StripErrors {
  double length = 0.0;
  double pressure = 0.0;
};

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
  // p = (2K/h)((2n+1)/n 2Q/(w h²))ⁿ L [BirdStewartLightfoot]
  const double h = 1.5 * mm, w = 20 * mm, Q = 5 * cm3, length = 100 * mm;
  const ViscosityLaw laws[] = {newtonian, thinning};
  const exact::PowerLawMelt melts[] = {{500.0, 1.0}, {1.5e4, 0.3}};
  for (int law = 0; law < 2; ++law) {
    double last = 0.0;
    for (int nx : {25, 50, 100}) {
      const Setup setup =
          sample::isothermal_fill(sample::strip(length, w, h, nx, nx / 5), laws[law], Q, 4 * nx);
      // Error of the pressure over the flow length, averaged over the steps of the second half: the
      // front in a row of control volumes is at most half an element off, to either side.
      double error = 0.0;
      int count = 0;
      run_case(setup, [&](const Snapshot& s) {
        const double flow_length = Q * s.state.time / (w * h);
        if (flow_length < 0.5 * length || s.state.mode != FillMode::speed) return true;
        const double exact_pressure = exact::slit_gradient(melts[law], h, w, Q) * flow_length;
        error += s.state.injection_pressure / exact_pressure - 1.0;
        ++count;
        return true;
      });
      error = std::abs(error / count);
      std::cout << "strip, law " << law << ", " << nx << " elements: pressure error "
                << 100.0 * error << " %\n";
      if (nx >= 50) CHECK(error < 5e-3);
      last = error;
    }
    CHECK(last < 5e-3);
  }
}
