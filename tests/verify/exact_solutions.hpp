// Closed forms that the solver is compared with. Everything here is exact for its problem (a series
// is summed until it no longer changes) and depends on nothing of the solver. SI units throughout.
//
// Slit: gap h, half gap H = h/2, width w. Power law: τ = K γ̇ⁿ; n = 1 makes K the Newtonian
// viscosity. Keys in brackets are in DEVELOPERS.md, "Sources". Each function is tested against
// printed digits in test_exact_solutions.cpp.
#pragma once

#include <vector>

namespace firstshot::exact {

/// τ = K γ̇ⁿ with K [Pa s^n] > 0 and n [-] > 0.
struct PowerLawMelt {
  double K = 0.0;
  double n = 1.0;
};

/// A series or root of the analytic solutions: eigenvalues and their coefficients, same length.
struct Series {
  std::vector<double> eigenvalue;
  std::vector<double> coefficient;
};

// --- Flow of a power-law melt [BirdStewartLightfoot], derived from the wall stress of slit and
// pipe.

/// Pressure gradient [Pa/m] of flow Q [m³/s] in a slit w × h, τ_w = K ((2n+1)/n · 2Q/(w h²))ⁿ = G
/// h/2.
double slit_gradient(const PowerLawMelt& melt, double h, double w, double Q);
/// Pressure gradient [Pa/m] in a pipe of diameter D, τ_w = K ((3n+1)/n · Q/(π R³))ⁿ = G R/2.
double pipe_gradient(const PowerLawMelt& melt, double D, double Q);

/// τ = η0 γ̇ / (1 + (η0 γ̇/τ*)^(1-n)) [Cross1965]; η0 [Pa s], τ* [Pa].
struct CrossMelt {
  double eta0 = 0.0, tau_star = 0.0, n = 0.0;
};
enum class Duct { pipe, slit };
/// Apparent rate 4Q/(π R³) of a pipe or 6Q/(w h²) of a slit [1/s] at the stress τ_w at its wall
/// [BirdStewartLightfoot], by Simpson's rule over ln γ̇, so that the law is never inverted inside.
double cross_apparent_rate(const CrossMelt& melt, double wall_stress, Duct duct);
/// Pressure gradient [Pa/m] in a pipe of diameter D.
double pipe_gradient(const CrossMelt& melt, double D, double Q);

/// Disc of gap h fed at radius r0 with flow Q: front radius [m] after time t.
double disc_front(double h, double r0, double Q, double t);
/// Pressure at r0 [Pa] when the front is at R: integral of the slit gradient with w = 2πr.
double disc_pressure(const PowerLawMelt& melt, double h, double r0, double Q, double R);
/// Time [s] at which the front is at R when r0 is held at the pressure P instead: integral of
/// 2πrh/Q(r) dr with the flow that has this pressure at r, by Simpson's rule. For n = 1 it is
/// 6μ/(h²P) (R² ln(R/r0) - (R² - r0²)/2).
double disc_time(const PowerLawMelt& melt, double h, double r0, double P, double R);

/// Strip filled under constant pressure P: flow length [m] after time t.
double strip_length(const PowerLawMelt& melt, double h, double P, double t);

/// Two pipes from one junction to pressure 0: share of the flow Q that takes the first, by
/// bisection.
struct TreeSplit {
  double Q1 = 0.0, Q2 = 0.0;       ///< [m³/s]
  double junction_pressure = 0.0;  ///< [Pa]
};
struct Pipe {
  double diameter = 0.0, length = 0.0;  ///< [m]
};
TreeSplit split_flow(const PowerLawMelt& melt, const Pipe& first, const Pipe& second, double Q);
TreeSplit split_flow(const CrossMelt& melt, const Pipe& first, const Pipe& second, double Q);

// --- Viscous heating, fully developed, both walls at T_w.

/// T - T_w [K] at height y (|y| ≤ H) in a slit at mean velocity V, conductivity k
/// [BirdStewartLightfoot]: τ_w γ̇_w H²/k · (1 - (y/H)^(3+1/n)) / ((2+1/n)(3+1/n)).
double slit_heating(const PowerLawMelt& melt, double h, double V, double k, double y);
/// Plane Couette flow, viscosity μ0 exp(-b (T-T_w)): τ h/(μ0 V) for the Nahme number b μ0 V²/k
/// [GavisLaurence1968].
double nahme_couette_stress(double nahme);
/// Peak of b (T - T_w) in the same flow, ln(1 + Na/8).
double nahme_couette_peak(double nahme);
/// Pipe under a given gradient G with the same viscosity [Kearsley1962]: Q/Q0 = 1 + β, with
/// 8β = δ (1+β)² (smaller root) and δ = b G² R⁴/(16 k μ0) ≤ 2. @throws std::domain_error past the
/// runaway.
double kearsley_flow_ratio(double delta);
/// b (T - T_w) at radius share r/R in that pipe.
double kearsley_temperature(double delta, double radius_share);

// --- Heat of a moving melt between walls at one temperature.

/// Graetz problem of a slit with parabolic velocity [ShahLondon1978]: θ'' + λ²(1-y²)θ = 0, θ'(0) =
/// θ(1) = 0. Coefficients are those of the cup-mixing mean. @param count how many terms, 1 … 20
Series graetz_slit(int count);
/// Cup-mixing mean (T - T_w)/(T_0 - T_w) at X = a x/(V H²) > 0.02.
double graetz_slit_bulk(double X);

// --- Cooling of solids [CarslawJaeger1959], uniform start, θ = (T - T_w)/(T_0 - T_w).

/// Fo here is a t/H² with the half thickness (4 a t/s²) or the radius.
enum class Where { centre, mean };
double slab_cooling(double fourier, Where where);
/// With contact coefficient h_c: Bi = h_c H/k, roots z tan z = Bi.
double slab_cooling_convective(double fourier, double biot, Where where);
/// Roots z tan z = Bi and centre coefficients 2 sin z/(z + sin z cos z).
Series convective_slab_roots(double biot, int count);
/// Long cylinder whose wall is at T_w; Fo = a t/R².
double cylinder_cooling(double fourier, Where where);
/// With contact coefficient h_c: Bi = h_c R/k, roots z J1(z) = Bi J0(z).
double cylinder_cooling_convective(double fourier, double biot, Where where);

/// Temperature where two half-spaces touch; e = √(k ρ cp) of each.
double contact_temperature(double effusivity_a, double T_a, double effusivity_b, double T_b);
/// Depth [m] at time t where a half-space that starts at T_0 and has its face at T_w has the
/// temperature T: erf(d/(2√(a t))) = (T - T_w)/(T_0 - T_w).
double isotherm_depth(double diffusivity, double t, double T_w, double T_0, double T);
/// Freezing front with latent heat, 2 λ √(a t) (Neumann, one phase): λ from √π λ exp(λ²) erf(λ) =
/// St.
double neumann_lambda(double stefan);

// --- Holding.

/// p/P in a strip closed at x = L whose end x = 0 is raised to P at t = 0; τ = D t/L², D = h²/(12 μ
/// β).
double holding_pressure(double x_share, double tau);
/// Its mean over the length.
double holding_pressure_mean(double tau);

}  // namespace firstshot::exact
