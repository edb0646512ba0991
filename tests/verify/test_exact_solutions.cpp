// The closed forms against digits worked out on their own, and against limits and identities.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include <catch2/catch.hpp>

#include "tests/verify/exact_solutions.hpp"

using namespace firstshot::exact;
using std::numbers::pi;

namespace {

/// Equal to the digits printed: half a unit of the last decimal.
Approx printed(double value, int decimals) {
  return Approx(value).epsilon(0).margin(0.51 * std::pow(10.0, -decimals));
}

constexpr PowerLawMelt kNewton{500.0, 1.0};
constexpr PowerLawMelt kThinning{1.5e4, 0.3};
constexpr double kMm = 1e-3;
const CrossMelt kPolystyrene{4.76e10 * std::exp(-25.74 * 120.0 / (61.06 + 120.0)), 3.08e4, 0.252};

}  // namespace

TEST_CASE("a disc fed at constant flow has the front and pressure of the closed form",
          "[verify][analytic]") {
  struct Row {
    double t, radius_mm, newton_MPa, thinning_MPa;
  };
  for (const Row& row :
       {Row{0.1, 12.773, 2.213292, 1.135582}, Row{0.25, 20.047, 2.751318, 1.715109},
        Row{0.5, 28.280, 3.162032, 2.298383}, Row{1.0, 39.944, 3.574230, 3.043522}}) {
    const double R = disc_front(2 * kMm, 2 * kMm, 1e-5, row.t);
    CHECK(R / kMm == printed(row.radius_mm, 3));
    CHECK(disc_pressure(kNewton, 2 * kMm, 2 * kMm, 1e-5, R) * 1e-6 == printed(row.newton_MPa, 6));
    CHECK(disc_pressure(kThinning, 2 * kMm, 2 * kMm, 1e-5, R) * 1e-6 ==
          printed(row.thinning_MPa, 6));
  }
}

TEST_CASE("the power-law disc tends to the Newtonian disc as n goes to 1", "[verify][limit]") {
  const double limit = disc_pressure(kNewton, 2e-3, 2e-3, 1e-5, 0.03);
  CHECK(disc_pressure({500.0, 1.0 - 1e-9}, 2e-3, 2e-3, 1e-5, 0.03) == Approx(limit).epsilon(1e-6));
}

TEST_CASE("a disc under constant pressure fills in the time of the closed form",
          "[verify][analytic]") {
  // Newton: the closed form; n = 0.3: a midpoint rule over ln r with 200 000 panels, worked out on
  // its own. h = r0 = 2 mm, at 10, 20 and 40 mm.
  struct Row {
    double radius_mm, newton_ms, thinning_ms;
  };
  for (const Row& row : {Row{10, 2.8235948, 0.3828993}, Row{20, 18.0758509, 15.3638963},
                         Row{40, 99.8792909, 447.9087297}}) {
    const double h = 2 * kMm, R = row.radius_mm * kMm;
    CHECK(disc_time(kNewton, h, h, 30e6, R) * 1e3 == Approx(row.newton_ms).epsilon(1e-6));
    CHECK(disc_time(kThinning, h, h, 3e6, R) * 1e3 == Approx(row.thinning_ms).epsilon(1e-6));
  }
}

TEST_CASE("a strip has the pressure and the flow length of the closed form", "[verify][analytic]") {
  const double h = 1.5 * kMm, w = 20 * kMm, Q = 5e-6, L = Q * 0.4 / (w * h);
  CHECK(L / kMm == printed(66.667, 3));
  CHECK(slit_gradient(kNewton, h, w, Q) * L * 1e-6 == printed(29.62963, 5));
  CHECK(slit_gradient(kThinning, h, w, Q) * L * 1e-6 == printed(11.14486, 5));
  CHECK(strip_length(kNewton, h, 30e6, 0.1) / kMm == printed(47.434, 3));
  CHECK(strip_length(kThinning, h, 30e6, 0.1) / kMm == printed(145.457, 3));
}

TEST_CASE("two branches share the flow so that both lose the same pressure", "[verify][analytic]") {
  const Pipe first{3 * kMm, 40 * kMm}, second{2.5 * kMm, 25 * kMm};
  const TreeSplit split = split_flow(kThinning, first, second, 1e-5);
  CHECK(split.Q1 * 1e6 == printed(3.984385, 6));
  CHECK(split.Q2 * 1e6 == printed(6.015615, 6));
  CHECK(split.junction_pressure * 1e-6 == printed(8.242539, 6));
  CHECK(pipe_gradient(kThinning, 4 * kMm, 1e-5) * 60 * kMm * 1e-6 == printed(9.433226, 6));
  const double n = kThinning.n;
  CHECK(split.Q1 / split.Q2 ==
        Approx(std::pow(3.0 / 2.5, (3 * n + 1) / n) * std::pow(25.0 / 40.0, 1 / n)).epsilon(1e-12));
}

TEST_CASE("a Cross melt has the apparent rates worked out on their own", "[verify][analytic]") {
  // General purpose polystyrene at 493.15 K, no pressure; digits from a separate calculation.
  struct Row {
    double stress, pipe, slit;
  };
  for (const Row& row : {Row{1e3, 0.57534649, 0.57345018}, Row{1e4, 8.0468240, 7.8861401},
                         Row{3e4, 45.743910, 43.464668}, Row{1e5, 1215.3703, 1084.3501},
                         Row{3e5, 80371.426, 70455.316}}) {
    CHECK(cross_apparent_rate(kPolystyrene, row.stress, Duct::pipe) ==
          Approx(row.pipe).epsilon(1e-7));
    CHECK(cross_apparent_rate(kPolystyrene, row.stress, Duct::slit) ==
          Approx(row.slit).epsilon(1e-7));
  }
  // Below the onset of thinning it is Newtonian: apparent rate = τ_w / η0.
  CHECK(cross_apparent_rate({1e3, 1e12, 0.3}, 10.0, Duct::slit) == Approx(0.01).epsilon(1e-6));
}

TEST_CASE("two branches share a Cross melt so that both lose the same pressure",
          "[verify][analytic]") {
  const TreeSplit split =
      split_flow(kPolystyrene, {3 * kMm, 40 * kMm}, {2.5 * kMm, 25 * kMm}, 1e-5);
  CHECK(split.Q1 * 1e6 == printed(3.75224, 5));
  CHECK(split.Q2 * 1e6 == printed(6.24776, 5));
  CHECK(split.junction_pressure * 1e-6 == printed(5.56803, 5));
  CHECK(pipe_gradient(kPolystyrene, 4 * kMm, 1e-5) * 60 * kMm * 1e-6 == printed(6.47272, 5));
}

TEST_CASE("viscous heating peaks at c(n) K V^(n+1) H^(1-n) / k", "[verify][analytic]") {
  struct Row {
    double n, c;
  };
  const double h = 2e-3, V = 0.3, k = 0.155, H = h / 2;
  for (const Row& row : {Row{1, 0.75}, Row{0.75, 0.569294}, Row{0.5, 0.4}, Row{0.35, 0.296857},
                         Row{0.3, 0.260896}, Row{0.25, 0.223584}}) {
    const double scale = 1e4 * std::pow(V, row.n + 1) * std::pow(H, 1 - row.n) / k;
    CHECK(slit_heating({1e4, row.n}, h, V, k, 0.0) / scale == printed(row.c, 6));
    CHECK(slit_heating({1e4, row.n}, h, V, k, H) == Approx(0.0).margin(1e-9));
  }
  CHECK(slit_heating(kNewton, h, V, k, 0.5 * H) ==
        Approx(0.75 * 500.0 * V * V / k * (1 - std::pow(0.5, 4))));
}

TEST_CASE("heated plane Couette flow has the stress of its Nahme number", "[verify][analytic]") {
  CHECK(nahme_couette_stress(1) == printed(0.924196, 6));
  CHECK(nahme_couette_stress(8) == printed(0.623225, 6));
  CHECK(nahme_couette_stress(20) == printed(0.418840, 6));
  CHECK(nahme_couette_stress(100) == printed(0.152069, 6));
  CHECK(nahme_couette_stress(1e-8) == Approx(1.0));
  CHECK(nahme_couette_peak(8) == Approx(std::log(2.0)));
}

TEST_CASE("a heated pipe under a given gradient carries 1 + beta times the cold flow",
          "[verify][analytic]") {
  CHECK(kearsley_flow_ratio(0.5) == printed(1.071797, 6));
  CHECK(kearsley_flow_ratio(1.0) == printed(1.171573, 6));
  CHECK(kearsley_flow_ratio(1.5) == printed(1.333333, 6));
  CHECK(kearsley_flow_ratio(2.0) == Approx(2.0));
  CHECK_THROWS_AS(kearsley_flow_ratio(2.01), std::domain_error);
  CHECK(kearsley_temperature(1.5, 1.0) == Approx(0.0).margin(1e-12));
  // θ'' + θ'/r + 4δ r² exp(θ) = 0 with r in radii, by central differences.
  const double delta = 1.5, r = 0.6, step = 1e-3;
  const auto theta = [delta](double x) { return kearsley_temperature(delta, x); };
  const double second = (theta(r + step) - 2 * theta(r) + theta(r - step)) / (step * step);
  const double first = (theta(r + step) - theta(r - step)) / (2 * step);
  CHECK(second + first / r == Approx(-4 * delta * r * r * std::exp(theta(r))).epsilon(1e-5));
}

TEST_CASE("the Graetz slit has the eigenvalues and bulk temperatures of the tables",
          "[verify][analytic]") {
  const Series series = graetz_slit(5);
  const double eigenvalue[] = {1.68159532, 5.66985735, 9.66824246, 13.66766144, 17.66737357};
  const double coefficient[] = {0.910352, 0.053143, 0.015279, 0.006809, 0.003740};
  for (int k = 0; k < 5; ++k) {
    CHECK(series.eigenvalue[k] == printed(eigenvalue[k], 8));
    CHECK(series.coefficient[k] == printed(coefficient[k], 6));
  }
  CHECK(graetz_slit_bulk(0.05) == printed(0.847354, 6));
  CHECK(graetz_slit_bulk(0.1) == printed(0.760204, 6));
  CHECK(graetz_slit_bulk(0.2) == printed(0.625134, 6));
  CHECK(graetz_slit_bulk(0.5) == printed(0.354691, 6));
  CHECK(graetz_slit_bulk(1.0) == printed(0.138194, 6));
  // Nusselt number far downstream, on the hydraulic diameter 2h: 8/3 λ₁² [ShahLondon1978].
  CHECK(8.0 / 3.0 * series.eigenvalue[0] * series.eigenvalue[0] == printed(7.540701, 6));
  CHECK_THROWS_AS(graetz_slit(0), std::domain_error);
}

TEST_CASE("a slab with cold walls cools as its series", "[verify][analytic]") {
  struct Row {
    double fourier, centre, mean;
  };
  for (const Row& row :
       {Row{0.1, 0.949305, 0.643177}, Row{0.2, 0.772312, 0.495912}, Row{0.3, 0.606804, 0.386764},
        Row{0.5, 0.370777, 0.236050}, Row{0.8, 0.176867, 0.112597}}) {
    CHECK(slab_cooling(row.fourier, Where::centre) == printed(row.centre, 6));
    CHECK(slab_cooling(row.fourier, Where::mean) == printed(row.mean, 6));
  }
  CHECK(slab_cooling(1e-4, Where::centre) == Approx(1.0));
}

TEST_CASE("a slab with a contact coefficient reaches a quarter at the tabulated times",
          "[verify][analytic]") {
  struct Row {
    double biot, fourier;
  };
  for (const Row& row : {Row{2, 1.337032}, Row{5, 0.927838}, Row{10, 0.792960}, Row{20, 0.726074},
                         Row{50, 0.686197}}) {
    // dθ/dFo is at least -0.6 here, so the printed time fixes θ to 1e-6.
    CHECK(slab_cooling_convective(row.fourier, row.biot, Where::centre) ==
          Approx(0.25).epsilon(0).margin(1e-6));
  }
  CHECK(slab_cooling(0.659746, Where::centre) == Approx(0.25).epsilon(0).margin(1e-6));
  CHECK(slab_cooling_convective(0.3, 1e9, Where::mean) ==
        Approx(slab_cooling(0.3, Where::mean)).epsilon(1e-7));
  // A slab that hardly loses heat is uniform: θ = exp(-Bi Fo).
  CHECK(slab_cooling_convective(50.0, 1e-3, Where::mean) == Approx(std::exp(-0.05)).epsilon(1e-3));
  CHECK(convective_slab_roots(2.0, 1).eigenvalue[0] *
            std::tan(convective_slab_roots(2.0, 1).eigenvalue[0]) ==
        Approx(2.0));
}

TEST_CASE("a round runner is cold enough to eject at the tabulated times", "[verify][analytic]") {
  // 220 °C on a 40 °C wall down to 80 °C, diffusivity 8.8e-8 m²/s; times printed to 0.01 s.
  const double a = 8.8e-8, target = 40.0 / 180.0;
  struct Row {
    double diameter_mm, centre_s, mean_s;
  };
  for (const Row& row :
       {Row{3, 8.73, 5.02}, Row{4, 15.53, 8.92}, Row{5, 24.26, 13.94}, Row{6, 34.93, 20.08}}) {
    const double R = 0.5e-3 * row.diameter_mm;
    // The printed times are those of the first term, 0.1 % from the full series, and rounded to
    // 0.01 s.
    CHECK(cylinder_cooling(a * row.centre_s / (R * R), Where::centre) ==
          Approx(target).epsilon(3e-3));
    CHECK(cylinder_cooling(a * row.mean_s / (R * R), Where::mean) == Approx(target).epsilon(3e-3));
  }
  // First term: 1.601975 exp(-5.783186 Fo), mean 0.691660 [CarslawJaeger1959].
  CHECK(cylinder_cooling(1.0, Where::centre) ==
        Approx(1.601975 * std::exp(-5.783186)).epsilon(1e-6));
  CHECK(cylinder_cooling(1.0, Where::mean) == Approx(0.691660 * std::exp(-5.783186)).epsilon(2e-6));
  CHECK(cylinder_cooling(1e-3, Where::centre) == Approx(1.0));
}

TEST_CASE("a cylinder with a contact coefficient lies between its limits", "[verify][limit]") {
  CHECK(cylinder_cooling_convective(0.2, 1e9, Where::centre) ==
        Approx(cylinder_cooling(0.2, Where::centre)).epsilon(1e-7));
  // A cylinder that hardly loses heat is uniform: θ = exp(-2 Bi Fo).
  CHECK(cylinder_cooling_convective(50.0, 1e-3, Where::mean) ==
        Approx(std::exp(-0.1)).epsilon(1e-3));
  // The start is uniform: all centre terms sum to 1 long before the wall is felt.
  CHECK(cylinder_cooling_convective(1e-3, 5.0, Where::centre) == Approx(1.0).epsilon(1e-9));
}

TEST_CASE("melt of 220 °C on an aluminium mould of 40 °C touches at about 45 °C",
          "[verify][analytic]") {
  CHECK(contact_temperature(18727, 40, 555, 220) == printed(45.2, 1));
  CHECK(contact_temperature(11045, 40, 555, 220) == printed(48.6, 1));
}

TEST_CASE("a frozen layer of a quarter millimetre forms in the tabulated time",
          "[verify][analytic]") {
  const double a = 8.8e-8;
  CHECK(isotherm_depth(a, 1.914, 40, 220, 100) / kMm == printed(0.25, 4));
  CHECK(isotherm_depth(a, 1.373, 40, 220, 110) / kMm == printed(0.25, 4));
  CHECK(isotherm_depth(a, 1.022, 40, 220, 120) / kMm == printed(0.25, 4));
  CHECK(isotherm_depth(1.0, 0.25, 0, 1, std::erf(0.4)) == Approx(0.4));
}

TEST_CASE("the freezing front with latent heat has the factor of its Stefan number",
          "[verify][analytic]") {
  CHECK(neumann_lambda(0.1) == printed(0.22001627, 8));
  CHECK(neumann_lambda(0.5) == printed(0.46478592, 8));
  CHECK(neumann_lambda(1.0) == printed(0.62006263, 8));
  CHECK(neumann_lambda(2.0) == printed(0.80060136, 8));
  CHECK(neumann_lambda(5.0) == printed(1.05968701, 8));
}

TEST_CASE("holding pressure spreads into a closed strip as its series", "[verify][analytic]") {
  struct Row {
    double tau, end, mean;
  };
  for (const Row& row : {Row{0.05, 0.00313080, 0.25231325}, Row{0.1, 0.05069464, 0.35682340},
                         Row{0.2, 0.22768839, 0.50408782}, Row{0.5, 0.62922257, 0.76395033},
                         Row{1, 0.89202296, 0.93125968}}) {
    CHECK(holding_pressure(1.0, row.tau) == printed(row.end, 8));
    CHECK(holding_pressure_mean(row.tau) == printed(row.mean, 8));
  }
  CHECK(holding_pressure(0.0, 0.1) == Approx(1.0));
}
