// Holding against closed forms: pressure that spreads, mass, freezing, shrinkage.
#include <cmath>

#include <catch2/catch.hpp>

#include "solver/stage/hold.hpp"
#include "solver/whole/run_case.hpp"
#include "tests/verify/exact_solutions.hpp"
#include "tests/verify/sample_models.hpp"

using namespace firstshot;

namespace {

constexpr double mm = 1e-3, MPa = 1e6;
constexpr double perfect_contact = 1e12;  // [W/(m² K)]

/// A full strip of Newtonian melt without pressure; the far end is closed.
struct FullStrip {
  Setup setup;
  double diffusivity = 0.0;  ///< h²/(12 μ κ) [m²/s]
};

FullStrip full_strip(double length, int nx, int volume_steps, double pressure) {
  constexpr double h = 1.5 * mm, eta = 500.0;
  FullStrip f;
  f.setup = sample::isothermal_fill(sample::strip(length, 2 * mm, h, nx, 2), Newtonian{eta}, 1e-6,
                                    volume_steps);
  f.setup.process.holding = {{pressure, 10.0}};
  f.setup.press.speed_max = 1e3;  // the pressure is there at once
  const double kappa = compressibility(f.setup.material.pvt, f.setup.process.melt_temperature, 0.0);
  f.diffusivity = h * h / (12.0 * eta * kappa);
  return f;
}

State full_state(const Fill& fill) {
  State s = fill.start();
  s.fill = NodeField<double>(s.fill.size(), 1.0);
  s.mode = FillMode::done;
  s.switch_over_time = 0.0;
  return s;
}

double at_end(const Setup& setup, const State& s, double length) {
  double p = 0.0;
  for (std::size_t i = 0; i < s.pressure.size(); ++i)
    if (setup.model.position.vector()[i].x > length - 1e-9) p = s.pressure.vector()[i];
  return p;
}

/// Largest error of p/P at the end of the strip and of its mean, after tau = 0.1 … 1.
double strip_error(int nx, int volume_steps) {
  constexpr double length = 100 * mm;
  constexpr double P = 0.1 * MPa;  // small: compressibility is constant to 1e-3
  FullStrip f = full_strip(length, nx, volume_steps, P);
  Fill fill(f.setup);
  Hold hold(f.setup, fill);
  State s = full_state(fill);
  hold.begin(s);
  double worst = 0.0;
  while (true) {
    hold.step(s);
    const double tau = f.diffusivity * s.time / (length * length);
    if (tau > 1.0) break;
    if (tau < 0.1) continue;
    const double end = at_end(f.setup, s, length) / P;
    double mean = 0.0, all = 0.0;
    for (std::size_t i = 0; i < s.pressure.size(); ++i) {
      mean += fill.volumes().volume[i] * s.pressure.vector()[i] / P;
      all += fill.volumes().volume[i];
    }
    worst = std::max({worst, std::abs(end - exact::holding_pressure(1.0, tau)),
                      std::abs(mean / all - exact::holding_pressure_mean(tau))});
  }
  return worst;
}

}  // namespace

TEST_CASE("the solver spreads holding pressure into a closed strip as the series",
          "[verify][order]") {
  // D = h²/(12 μ κ); the melt of the card at 220 °C, nearly constant κ at a small pressure. First
  // order in the steps.
  const double coarse = strip_error(50, 4000);
  const double fine = strip_error(50, 8000);
  CAPTURE(coarse, fine);
  CHECK(fine < 0.005);
  CHECK(coarse / fine > 1.6);
  CHECK(coarse / fine < 2.4);
}
