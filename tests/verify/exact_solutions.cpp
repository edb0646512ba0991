#include "tests/verify/exact_solutions.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>
#include <stdexcept>

namespace firstshot::exact {
namespace {

using std::numbers::pi;

constexpr int kBisections = 70;       // halves any bracket here to the last bits of a double
constexpr double kSmallTerm = 1e-17;  // a series ends when its next factor exp(-…) is below this
constexpr int kMaxTerms = 400;  // reached only below Fo of about 2e-5, where the series is useless

/// Root of f between a and b, where f changes its sign.
double bisect(const std::function<double(double)>& f, double a, double b) {
  const bool rising = f(b) > 0.0;
  for (int i = 0; i < kBisections; ++i) {
    const double middle = 0.5 * (a + b);
    ((f(middle) > 0.0) == rising ? b : a) = middle;
  }
  return 0.5 * (a + b);
}

/// Flow per width [m²/s] of a slit at gradient g: n h²/(2(2n+1)) (h g/(2K))^(1/n).
double slit_flow_per_width(const PowerLawMelt& melt, double h, double g) {
  const double n = melt.n;
  return n * h * h / (2.0 * (2.0 * n + 1.0)) * std::pow(h * g / (2.0 * melt.K), 1.0 / n);
}

/// Even and normalised solution of θ'' + λ²(1-y²)θ = 0 at the wall y = 1: θ(1), θ'(1), ∂θ(1)/∂λ.
struct WallValues {
  double theta, slope, by_lambda;
};
/// Power series θ = Σ a_m y^(2m): (2m+2)(2m+1) a_{m+1} = λ² (a_{m-1} - a_m); its derivative by λ
/// likewise.
WallValues graetz_wall(double lambda) {
  const double L = lambda * lambda;
  WallValues sum{1.0, 0.0, 0.0};
  double a_old = 0.0, a = 1.0, d_old = 0.0, d = 0.0;  // a_{m-1}, a_m and their derivatives by λ
  for (int m = 0; m < kMaxTerms; ++m) {
    const double over = (2.0 * m + 2.0) * (2.0 * m + 1.0);
    const double a_next = L * (a_old - a) / over;
    const double d_next = (2.0 * lambda * (a_old - a) + L * (d_old - d)) / over;
    a_old = a;
    a = a_next;
    d_old = d;
    d = d_next;
    sum.theta += a;
    sum.slope += (2.0 * m + 2.0) * a;
    sum.by_lambda += d;
  }
  return sum;
}

/// Σ coefficient · exp(-z² Fo).
double decay(const Series& series, double fourier) {
  double sum = 0.0;
  for (std::size_t i = 0; i < series.eigenvalue.size(); ++i) {
    sum += series.coefficient[i] * std::exp(-series.eigenvalue[i] * series.eigenvalue[i] * fourier);
  }
  return sum;
}

/// Root number k of z J1(z) = Bi J0(z): it lies between the zeros of J1 and J0 that enclose it.
double cylinder_root(double biot, int k) {
  // Zero number k of J1 (k = 0: z = 0) is close to (k + 1/4)π; that of J0 above it, close to (k +
  // 3/4)π.
  const auto zero_near = [](int order, double guess) {
    return bisect([order](double z) { return std::cyl_bessel_j(order, z); }, guess - 0.3,
                  guess + 0.3);
  };
  const double below = k == 0 ? 0.0 : zero_near(1, (k + 0.25) * pi);
  const double above = zero_near(0, (k + 0.75) * pi);
  if (std::isinf(biot)) return above;
  return bisect(
      [biot](double z) { return z * std::cyl_bessel_j(1, z) - biot * std::cyl_bessel_j(0, z); },
      below, above);
}

/// Terms until exp(-z² Fo) vanishes; eigenvalues of both problems grow by about π each.
int terms_needed(double fourier) {
  const double z_last = std::sqrt(-std::log(kSmallTerm) / fourier);
  return std::min(kMaxTerms, static_cast<int>(z_last / pi) + 2);
}

}  // namespace

double slit_gradient(const PowerLawMelt& melt, double h, double w, double Q) {
  const double n = melt.n;
  return 2.0 / h * melt.K * std::pow((2.0 * n + 1.0) / n * 2.0 * Q / (w * h * h), n);
}

double pipe_gradient(const PowerLawMelt& melt, double D, double Q) {
  const double n = melt.n, R = 0.5 * D;
  return 2.0 / R * melt.K * std::pow((3.0 * n + 1.0) / n * Q / (pi * R * R * R), n);
}

double disc_front(double h, double r0, double Q, double t) {
  return std::sqrt(r0 * r0 + Q * t / (pi * h));
}

double disc_pressure(const PowerLawMelt& melt, double h, double r0, double Q, double R) {
  const double n = melt.n;
  // ∫ r^(-n) dr, with its limit ln(R/r0) for n = 1.
  const double path = std::abs(n - 1.0) < 1e-12
                          ? std::log(R / r0)
                          : (std::pow(R, 1.0 - n) - std::pow(r0, 1.0 - n)) / (1.0 - n);
  return slit_gradient(melt, h, 2.0 * pi, Q) * path;
}

double disc_time(const PowerLawMelt& melt, double h, double r0, double P, double R) {
  constexpr int kPanels = 2000;  // even
  const double width = (R - r0) / kPanels;
  double sum = 0.0;  // starts at r0, where the flow is without bound
  for (int i = 1; i <= kPanels; ++i) {
    const double r = r0 + i * width;
    const double Q = std::pow(P / disc_pressure(melt, h, r0, 1.0, r), 1.0 / melt.n);
    sum += (i == kPanels ? 1.0 : (i % 2 == 1 ? 4.0 : 2.0)) * 2.0 * pi * r * h / Q;
  }
  return sum * width / 3.0;
}

double strip_length(const PowerLawMelt& melt, double h, double P, double t) {
  // h dL/dt = q(P/L), and q ∝ g^m with m = 1/n; so L^(m+1)/(m+1) = q(P) t / h.
  const double m = 1.0 / melt.n;
  return std::pow((1.0 + m) * slit_flow_per_width(melt, h, P) / h * t, 1.0 / (1.0 + m));
}

double cross_apparent_rate(const CrossMelt& melt, double wall_stress, Duct duct) {
  constexpr int kPanels = 4000;  // even
  constexpr double kSpan = 20;  // range of ln γ̇ below the wall; the rest carries e^-40 of the flow
  const double m = 1.0 - melt.n;
  const auto thinning = [&](double rate) { return std::pow(melt.eta0 * rate / melt.tau_star, m); };
  const auto stress = [&](double rate) { return melt.eta0 * rate / (1.0 + thinning(rate)); };
  const double wall = bisect([&](double s) { return stress(std::exp(s)) - wall_stress; }, -60, 60);
  // pipe: 4/τ_w³ ∫ τ² γ̇ dτ; slit: 3/τ_w² ∫ τ γ̇ dτ; dτ = τ (d ln τ/d ln γ̇) d ln γ̇.
  const double power = duct == Duct::pipe ? 3.0 : 2.0;
  double sum = 0.0;
  for (int i = 0; i <= kPanels; ++i) {
    const double rate = std::exp(wall - kSpan + kSpan * i / kPanels);
    const double x = thinning(rate);
    const double slope = 1.0 - m * x / (1.0 + x);
    const double weight = i == 0 || i == kPanels ? 1.0 : (i % 2 == 1 ? 4.0 : 2.0);
    sum += weight * std::pow(stress(rate) / wall_stress, power) * rate * slope;
  }
  return (power + 1.0) * sum * kSpan / kPanels / 3.0;
}

double pipe_gradient(const CrossMelt& melt, double D, double Q) {
  const double R = 0.5 * D, wanted = 4.0 * Q / (pi * R * R * R);
  const double log_stress =
      bisect([&](double s) { return cross_apparent_rate(melt, std::exp(s), Duct::pipe) - wanted; },
             std::log(1e-6 * melt.tau_star), std::log(1e3 * melt.tau_star));
  return 2.0 * std::exp(log_stress) / R;
}

namespace {

template <class Melt>
TreeSplit split(const Melt& melt, const Pipe& first, const Pipe& second, double Q) {
  const auto drop = [&melt](const Pipe& pipe, double flow) {
    return pipe_gradient(melt, pipe.diameter, flow) * pipe.length;
  };
  const double Q1 = bisect([&](double q) { return drop(first, q) - drop(second, Q - q); }, 0.0, Q);
  return {Q1, Q - Q1, drop(first, Q1)};
}

}  // namespace

TreeSplit split_flow(const PowerLawMelt& melt, const Pipe& first, const Pipe& second, double Q) {
  return split(melt, first, second, Q);
}

TreeSplit split_flow(const CrossMelt& melt, const Pipe& first, const Pipe& second, double Q) {
  return split(melt, first, second, Q);
}

double slit_heating(const PowerLawMelt& melt, double h, double V, double k, double y) {
  const double n = melt.n, H = 0.5 * h, m = 1.0 / n;
  const double rate = (2.0 * n + 1.0) / n * V / H;  // at the wall [1/s]
  const double stress = melt.K * std::pow(rate, n);
  const double shape = 1.0 - std::pow(std::abs(y) / H, 3.0 + m);
  return stress * rate * H * H / k * shape / ((2.0 + m) * (3.0 + m));
}

double nahme_couette_stress(double nahme) {
  const double s = std::sqrt(nahme / 8.0);
  return std::asinh(s) / (s * std::sqrt(1.0 + s * s));
}

double nahme_couette_peak(double nahme) { return std::log1p(nahme / 8.0); }

double kearsley_flow_ratio(double delta) {
  if (!(delta > 0.0 && delta <= 2.0)) {
    throw std::domain_error("kearsley_flow_ratio: 0 < delta ≤ 2 has a steady solution");
  }
  // δβ² + (2δ - 8)β + δ = 0, smaller root, written without cancellation.
  const double half = 4.0 - delta;
  const double beta = delta / (half + std::sqrt(half * half - delta * delta));
  return 1.0 + beta;
}

double kearsley_temperature(double delta, double radius_share) {
  const double beta = kearsley_flow_ratio(delta) - 1.0;
  const double bracket = 1.0 + beta * std::pow(radius_share, 4);
  return std::log(8.0 * beta / (delta * bracket * bracket));
}

Series graetz_slit(int count) {
  if (count < 1 || count > 20) throw std::domain_error("graetz_slit: 1 … 20 terms");
  Series series;
  for (int k = 0; k < count; ++k) {
    // For large λ the roots tend to 4k + 5/3, and already the first is within 0.02 of it.
    const double guess = 4.0 * k + 5.0 / 3.0;
    const double lambda =
        bisect([](double l) { return graetz_wall(l).theta; }, guess - 0.5, guess + 0.5);
    const WallValues wall = graetz_wall(lambda);
    // Weighted by 1-y²: the start has c = -2/(λ ∂θ(1)/∂λ); the mean of a mode is -θ'(1)/λ², and the
    // mean of the profile is 2/3.
    const double start = -2.0 / (lambda * wall.by_lambda);
    series.eigenvalue.push_back(lambda);
    series.coefficient.push_back(start * 1.5 * -wall.slope / (lambda * lambda));
  }
  return series;
}

double graetz_slit_bulk(double X) { return decay(graetz_slit(8), 2.0 / 3.0 * X); }

double slab_cooling(double fourier, Where where) {
  Series series;
  for (int k = 0; k < terms_needed(fourier); ++k) {
    const double z = (k + 0.5) * pi;
    const double sign = k % 2 == 0 ? 1.0 : -1.0;
    series.eigenvalue.push_back(z);
    series.coefficient.push_back(where == Where::centre ? 2.0 * sign / z : 2.0 / (z * z));
  }
  return decay(series, fourier);
}

Series convective_slab_roots(double biot, int count) {
  Series series;
  for (int k = 0; k < count; ++k) {
    const double z = bisect([biot](double x) { return x * std::sin(x) - biot * std::cos(x); },
                            k * pi, (k + 0.5) * pi);
    series.eigenvalue.push_back(z);
    series.coefficient.push_back(2.0 * std::sin(z) / (z + std::sin(z) * std::cos(z)));
  }
  return series;
}

double slab_cooling_convective(double fourier, double biot, Where where) {
  Series series = convective_slab_roots(biot, terms_needed(fourier));
  for (std::size_t i = 0; i < series.eigenvalue.size() && where == Where::mean; ++i) {
    series.coefficient[i] *= std::sin(series.eigenvalue[i]) / series.eigenvalue[i];
  }
  return decay(series, fourier);
}

double cylinder_cooling_convective(double fourier, double biot, Where where) {
  Series series;
  for (int k = 0; k < terms_needed(fourier); ++k) {
    const double z = cylinder_root(biot, k);
    const double j0 = std::cyl_bessel_j(0, z), j1 = std::cyl_bessel_j(1, z);
    const double centre = 2.0 * j1 / (z * (j0 * j0 + j1 * j1));
    series.eigenvalue.push_back(z);
    series.coefficient.push_back(where == Where::centre ? centre : centre * 2.0 * j1 / z);
  }
  return decay(series, fourier);
}

double cylinder_cooling(double fourier, Where where) {
  return cylinder_cooling_convective(fourier, std::numeric_limits<double>::infinity(), where);
}

double contact_temperature(double effusivity_a, double T_a, double effusivity_b, double T_b) {
  return (effusivity_a * T_a + effusivity_b * T_b) / (effusivity_a + effusivity_b);
}

double isotherm_depth(double diffusivity, double t, double T_w, double T_0, double T) {
  const double share = (T - T_w) / (T_0 - T_w);
  const double lambda = bisect([share](double x) { return std::erf(x) - share; }, 0.0, 6.0);
  return 2.0 * lambda * std::sqrt(diffusivity * t);
}

double neumann_lambda(double stefan) {
  return bisect(
      [stefan](double x) { return std::sqrt(pi) * x * std::exp(x * x) * std::erf(x) - stefan; },
      0.0, 5.0);
}

double holding_pressure(double x_share, double tau) {
  // The fault p - P obeys the slab problem mirrored at the closed end.
  double sum = 0.0;
  for (int k = 0; k < terms_needed(tau); ++k) {
    const double z = (k + 0.5) * pi;
    sum += 2.0 / z * std::sin(z * x_share) * std::exp(-z * z * tau);
  }
  return 1.0 - sum;
}

double holding_pressure_mean(double tau) { return 1.0 - slab_cooling(tau, Where::mean); }

}  // namespace firstshot::exact
