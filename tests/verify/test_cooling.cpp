// Cooling columns against the series for slabs and cylinders [CarslawJaeger1959], the coolant's
// pipe correlation against published values, the mould against a chain of resistances.
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include <catch2/catch.hpp>

#include "solver/flow/rectangle_duct.hpp"
#include "solver/heat/cooling_column.hpp"
#include "solver/heat/mould_heat.hpp"
#include "tests/verify/exact_solutions.hpp"

using namespace firstshot;

namespace {

constexpr double never = std::numeric_limits<double>::infinity();
constexpr double melt = 493.15, wall = 313.15;
constexpr double perfect = 1e9;  // [W/(m² K)]

/// Polystyrene with one heat capacity: a = k/(ρ c) = 8.8e-8 m²/s.
Material even_material() {
  Material m;
  m.conductivity = 0.155;
  m.density_melt = 970.0;
  m.heat_capacity = {{300.0}, {0.155 / (970.0 * 8.8e-8)}};
  return m;
}

/// Uniform melt until `where` has fallen to `limit` [K].
double time_until(const Material& m, const CoolingPlace& place, EjectionLimit limit, double contact,
                  int layers = 20, bool differ = false) {
  const GapGrid grid(layers, differ);
  const Enthalpy enthalpy(m.heat_capacity);
  CoolingColumn column(grid, m, enthalpy, {wall, wall, contact, contact});
  std::vector<double> temperature(static_cast<std::size_t>(grid.columns()), melt);
  return column.cool(place, limit, 0.0, never, temperature).ejectable;
}

/// Fourier number at which a series falls to θ, by bisection.
template <class F>
double fourier_at(F&& series, double theta) {
  double low = 0.02, high = 50.0;
  for (int k = 0; k < 100; ++k) {
    const double middle = std::sqrt(low * high);
    (series(middle) > theta ? low : high) = middle;
  }
  return low;
}

}  // namespace

TEST_CASE("slabs and cylinders may be ejected when the series says so", "[verify][cool]") {
  const Material m = even_material();
  const double a = 8.8e-8;
  for (const double limit : {353.15, 383.15}) {
    const double theta = (limit - wall) / (melt - wall);
    for (const bool round : {false, true}) {
      const double H = round ? 2.5e-3 : 0.6e-3;
      for (const bool core : {true, false}) {
        const auto where = core ? exact::Where::centre : exact::Where::mean;
        const double fourier = fourier_at(
            [&](double fo) {
              return round ? exact::cylinder_cooling(fo, where) : exact::slab_cooling(fo, where);
            },
            theta);
        const EjectionLimit criterion{core ? EjectionCriterion::core : EjectionCriterion::mean,
                                      limit};
        INFO((round ? "cylinder" : "slab") << (core ? " core" : " mean") << " to " << limit);
        // 20 layers; the hottest layer's middle lies 1/40 off the centre.
        CHECK(time_until(m, {H, round}, criterion, perfect) ==
              Approx(fourier * H * H / a).epsilon(5e-3));
      }
    }
  }
}

TEST_CASE("a 5 mm runner takes 24 s where a 1.2 mm wall takes 3 s", "[verify][cool]") {
  // Digits of the one-term formulas, computed by hand: 24.26 s and 2.894 s at a = 8.8e-8 m²/s.
  const EjectionLimit core{EjectionCriterion::core, 353.15};
  CHECK(time_until(even_material(), {2.5e-3, true}, core, perfect) == Approx(24.26).epsilon(0.01));
  CHECK(time_until(even_material(), {0.6e-3, false}, core, perfect) == Approx(2.894).epsilon(0.01));
}

TEST_CASE("poor contact lengthens cooling as the series with a contact coefficient",
          "[verify][cool]") {
  const Material m = even_material();
  const double a = 8.8e-8;
  for (const double biot : {2.0, 5.0, 10.0, 20.0}) {
    for (const bool round : {false, true}) {
      const double H = 0.6e-3, contact = biot * m.conductivity / H;
      const double fourier = fourier_at(
          [&](double fo) {
            return round ? exact::cylinder_cooling_convective(fo, biot, exact::Where::centre)
                         : exact::slab_cooling_convective(fo, biot, exact::Where::centre);
          },
          0.25);
      INFO((round ? "cylinder" : "slab") << ", Bi " << biot);
      CHECK(time_until(m, {H, round}, {EjectionCriterion::core, wall + 45.0}, contact) ==
            Approx(fourier * H * H / a).epsilon(5e-3));
    }
  }
}

TEST_CASE("the slab of a rectangle cools like the rectangle, however good its contact",
          "[verify][cool]") {
  // Product of two slabs with contact [CarslawJaeger1959]. With the wall's own contact a square is
  // 2.3 % late at a Biot number of 27 (4 mm, 2000 W/(m² K)) and 6 % at 10.
  const Material m = even_material();
  const double a = 8.8e-8, H = 2e-3;
  for (const double ratio : {1.0, 0.8, 0.5, 0.25}) {
    const CoolingSlab slab = slab_of_rectangle(ratio);
    for (const double biot : {5.0, 10.0, 27.0, 130.0, 1e4}) {
      const double fourier = fourier_at(
          [&](double fo) {
            const auto centre = exact::Where::centre;
            return exact::slab_cooling_convective(fo, biot, centre) *
                   exact::slab_cooling_convective(fo * ratio * ratio, biot / ratio, centre);
          },
          2.0 / 9.0);
      CoolingPlace place{slab.gap * H, false};
      place.contact = slab.contact;
      INFO("depth/width " << ratio << ", Bi " << biot);
      const EjectionLimit core{EjectionCriterion::core, wall + 40.0};
      CHECK(time_until(m, place, core, biot * m.conductivity / H) ==
            Approx(fourier * H * H / a).epsilon(0.017));
    }
  }
}

TEST_CASE("cooling converges with the square of the layers", "[verify][cool]") {
  const Material m = even_material();
  const EjectionLimit mean{EjectionCriterion::mean, 353.15};
  const double exact = fourier_at(
      [](double fo) { return exact::slab_cooling(fo, exact::Where::mean); }, 40.0 / 180.0);
  const auto error = [&](int layers) {
    return std::abs(
        time_until(m, {0.6e-3, false}, mean, perfect, layers) * 8.8e-8 / 0.36e-6 / exact - 1.0);
  };
  CHECK(error(4) / error(8) > 3.0);
}

TEST_CASE("walls that differ cool a slab like its mean wall at the middle", "[verify][cool]") {
  // Linear: the solution is that of both walls at their mean plus an odd part, zero in the middle.
  Material m = even_material();
  const GapGrid grid(20, true);
  const Enthalpy enthalpy(m.heat_capacity);
  CoolingColumn column(grid, m, enthalpy, {wall - 10.0, wall + 10.0, perfect, perfect});
  std::vector<double> T(40, melt);
  const double H = 0.6e-3, end = 0.5 * H * H / 8.8e-8;
  const CooledColumn done = column.cool({H, false}, {EjectionCriterion::core, 200.0}, 0.0, end, T);
  CHECK(done.ejectable < 0.0);
  CHECK(0.5 * (T[19] + T[20]) - wall ==
        Approx(180.0 * exact::slab_cooling(0.5, exact::Where::centre)).epsilon(5e-3));
  CHECK(done.heat_fixed > done.heat_moving);
}

TEST_CASE("melt with a latent heat freezes as far as Neumann's solution says", "[verify][cool]") {
  // One phase, melt at its freezing point: 2 λ √(a t), √π λ exp(λ²) erf(λ) = St
  // [CarslawJaeger1959]. A card gives the latent heat as a peak of its heat capacity, here 1 K
  // wide.
  constexpr double freezing = 400.0, cold = 300.0, width = 5.0, capacity = 2000.0;
  const double a = 0.155 / (970.0 * capacity), H = 1e-3;
  for (const double stefan : {0.5, 1.0, 2.0}) {
    const double latent = capacity * (freezing - cold) / stefan, peak = capacity + latent / width;
    Material m = even_material();
    m.heat_capacity = {
        {300.0, freezing - width - 1e-3, freezing - width, freezing, freezing + 1e-3},
        {capacity, capacity, peak, peak, capacity}};
    const GapGrid grid(60, false);
    const Enthalpy enthalpy(m.heat_capacity);
    const double end = 0.04 * H * H / a;
    CoolingColumn column(grid, m, enthalpy, {cold, cold, perfect, perfect});
    std::vector<double> T(60, freezing);
    const CooledColumn done = column.cool({H, false}, {EjectionCriterion::core, cold}, 0.0, end, T);
    // Latent and sensible heat through the wall: k (T_f - T_w)/(√(π a) erf λ) · 2 √t.
    const double lambda = exact::neumann_lambda(stefan);
    const double front = 2.0 * lambda * std::sqrt(a * end);
    const double heat = 0.155 * (freezing - cold) * 2.0 * std::sqrt(end) /
                        (std::sqrt(std::numbers::pi * a) * std::erf(lambda));
    INFO("Stefan number " << stefan);
    CHECK((done.heat_fixed + done.heat_moving) * H == Approx(heat).epsilon(0.005));
    double frozen = 0.0;  // share of the latent heat that is gone
    for (int c = 0; c < grid.columns(); ++c)
      frozen += grid.share(c, false) *
                std::clamp((freezing - T[static_cast<std::size_t>(c)]) / width, 0.0, 1.0);
    CHECK(frozen * H == Approx(front).epsilon(0.01));
  }
}

TEST_CASE("what the layers lose is what the walls get", "[verify][cool]") {
  Material m;  // heat capacity with a step, and letting go on the way
  m.heat_capacity = {{300.0, 368.0, 383.0, 513.0}, {1223.0, 1500.0, 1833.0, 2172.0}};
  const Enthalpy enthalpy(m.heat_capacity);
  for (const bool differ : {false, true}) {
    const GapGrid grid(20, differ);
    CoolingColumn column(grid, m, enthalpy, {wall, differ ? wall + 20.0 : wall, 1e4, 2e3});
    std::vector<double> T(static_cast<std::size_t>(grid.columns()), melt);
    const double sealed = specific_volume(m.pvt, melt, 3e7);
    const CooledColumn done =
        column.cool({1e-3, true, sealed}, {EjectionCriterion::core, 340.0}, 0.0, 8.0, T);
    double left = 0.0;
    for (int c = 0; c < grid.columns(); ++c)
      left += grid.share(c, true) * enthalpy.at(T[static_cast<std::size_t>(c)]);
    const double lost = m.density_melt * (enthalpy.at(melt) - left);
    CHECK(done.detached > 0.0);
    CHECK(done.heat_fixed + done.heat_moving == Approx(lost).epsilon(1e-6));
  }
}

TEST_CASE("a part lets go when it has shrunk out of its room, and then cools slower",
          "[verify][cool]") {
  const Material m = even_material();
  const Enthalpy enthalpy(m.heat_capacity);
  const GapGrid grid(20, false);
  CoolingColumn column(grid, m, enthalpy, {wall, wall, 1e4, 2e3});
  const EjectionLimit core{EjectionCriterion::core, 353.15};
  double before = 0.0;
  for (const double pressure : {60e6, 20e6, 0.0}) {
    std::vector<double> T(20, melt);
    const double sealed = specific_volume(m.pvt, melt, pressure);
    const CooledColumn done = column.cool({0.6e-3, false, sealed}, core, 0.0, never, T);
    INFO("sealed at " << pressure);
    if (pressure == 0.0) CHECK(done.detached == 0.0);
    // The more it was packed, the longer it stays in contact and the faster it cools.
    CHECK(done.ejectable > before);
    before = done.ejectable;
  }
  std::vector<double> T(20, melt);
  const double never_lets_go = column.cool({0.6e-3, false}, core, 0.0, never, T).ejectable;
  CHECK(never_lets_go < before);
}

TEST_CASE("the pipe correlation gives published Nusselt numbers", "[verify][cool]") {
  // Values of this equation as evaluated in open heat transfer libraries (seen), to their digits.
  CHECK(nusselt_turbulent(1e5, 1.2, 0.0185) == Approx(254.62682749359632).epsilon(1e-12));
  CHECK(nusselt_turbulent(412000.0, 3.61, 0.0136) == Approx(1476.2264696347459).epsilon(1e-12));
  CHECK(nusselt_turbulent(2300.0, 0.6, 0.05) == Approx(6.864094528152871).epsilon(1e-12));
  CHECK(nusselt(2000.0, 7.0) == 3.66);  // laminar, wall at one temperature [ShahLondon1978]
  // Against the older rule 0.023 Re^0.8 Pr^0.4 (Dittus and Boelter) for water being heated: both
  // are within their 10 to 20 % of measurements.
  for (const double re : {1e4, 3e4, 1e5})
    for (const double pr : {3.0, 7.0})
      CHECK(nusselt(re, pr) == Approx(0.023 * std::pow(re, 0.8) * std::pow(pr, 0.4)).epsilon(0.2));
  // No jump at the ends of the transition.
  CHECK(nusselt(2300.0 + 1e-6, 7.0) == Approx(3.66).epsilon(1e-6));
  CHECK(nusselt(4000.0 - 1e-6, 7.0) == Approx(nusselt(4000.0, 7.0)).epsilon(1e-6));
}

TEST_CASE("the metal between face and bores is a row of line sinks", "[verify][cool]") {
  const MouldMetal metal;
  MouldChannels bores;
  bores.diameter = 2e-3;
  bores.pitch = 20e-3;
  // Sum of 2 · 200 sinks and images, of a face that takes heat evenly: mean of the face less the
  // bore's wall, and the field that closes the mould below.
  for (const double depth : {6e-3, 10e-3, 30e-3}) {
    bores.depth = depth;
    const double w = bores.pitch, k = metal.conductivity;
    const int n = 4000;
    const auto potential = [&](double x, double y) {  // of one sink per pitch and its image, per q'
      double sum = 0.0;
      for (int i = -n; i <= n; ++i)
        for (const double at : {-depth, depth})
          sum += 0.5 * std::log((x - i * w) * (x - i * w) + (y - at) * (y - at));
      return sum / (2.0 * std::numbers::pi * k);
    };
    double face = 0.0;
    constexpr int places = 32;
    for (int i = 0; i < places; ++i) face += potential((i + 0.5) * w / places, 0.0) / places;
    double rim = 0.0;
    for (int i = 0; i < places; ++i) {
      const double angle = 2.0 * std::numbers::pi * (i + 0.5) / places;
      rim += potential(0.5 * bores.diameter * std::cos(angle),
                       -depth + 0.5 * bores.diameter * std::sin(angle)) /
             places;
    }
    const double resistance = w * (face - rim) + depth / k;  // per area: q' = q w
    CHECK(metal_resistance(metal, bores) == Approx(resistance).epsilon(3e-3));
  }
}

TEST_CASE("the steady surface is a chain of resistances", "[verify][cool]") {
  const MouldMetal metal = *find_mould_metal("steel");
  const MouldChannels bores{10e-3, 50e-3, 20e-3, 293.15, 1.5e-4};
  const HalfLoad load{3300.0, 28.0, 0.02, 0.01};
  const HalfHeat half = half_heat(metal, bores, load);
  const double power = 3300.0 / 28.0;
  CHECK(half.power == Approx(power));
  const Water in = water(293.15);
  const double rise = power / (in.density * 1.5e-4 * in.heat_capacity);
  CHECK(half.water_rise == Approx(rise).epsilon(1e-12));
  const double velocity = 1.5e-4 / (std::numbers::pi * 25e-6);
  const Water mid = water(293.15 + 0.5 * rise);
  const double reynolds = 1000.0 * velocity * 10e-3 / mid.viscosity;
  CHECK(half.bore.reynolds == Approx(reynolds).epsilon(5e-3));
  const double h = half.bore.nusselt * mid.conductivity / 10e-3;
  const double film = power / 0.02 * 50e-3 / (std::numbers::pi * 10e-3 * h);
  // In the metal: more than straight down to the bores, less than twice that.
  const double above = half.surface - (293.15 + 0.5 * rise + film);
  CHECK(above == Approx(power / 0.02 * metal_resistance(metal, bores)).epsilon(1e-9));
  CHECK(above > 0.5 * power / 0.02 * 20e-3 / metal.conductivity);
  CHECK(above < 2.0 * power / 0.02 * 20e-3 / metal.conductivity);
  CHECK(half.surface_high > half.surface);
}
