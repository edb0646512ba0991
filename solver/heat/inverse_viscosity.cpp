#include "solver/heat/inverse_viscosity.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "solver/numeric/parallel.hpp"

namespace firstshot {
namespace {

/// 1/η₀ = reference × exp(exponent(T, p)).
double exponent(const CrossWlf& law, double T, double p) {
  return law.A1 * (T - law.D2 - law.D3 * p) / (law.A2 + T - law.D2);
}
double exponent(const CrossExponential& law, double T, double p) {
  return -law.Tb / T - law.beta * p;
}
double exponent(const Newtonian& law, double T, double /*p*/) { return law.b * (T - law.T_ref); }
double exponent(const PowerLaw& law, double T, double /*p*/) {
  return law.b * (T - law.T_ref) / law.n;
}
double reference(const CrossWlf& law) { return 1.0 / law.D1; }
double reference(const CrossExponential& law) { return 1.0 / law.B; }
double reference(const Newtonian& law) { return 1.0 / law.eta_ref; }
double reference(const PowerLaw& law) { return std::pow(law.K, -1.0 / law.n); }

/// A place in the gap: temperature [K], exponent and exp(exponent) there.
struct Place {
  double temperature, exponent, value;
};

/// Mean of exp over a straight line between two exponents.
double mean_between(const Place& a, const Place& b) {
  const double difference = b.exponent - a.exponent;
  constexpr double nearly_equal = 1e-4;  // the mean of the two is then good to 1e-9
  if (std::abs(difference) < nearly_equal) return 0.5 * (a.value + b.value);
  return (b.value - a.value) / difference;
}

/// The same, solid at and below the no-flow temperature.
double flowing_mean(const Place& a, const Place& b, const Place& no_flow) {
  const bool a_flows = a.temperature > no_flow.temperature;
  const bool b_flows = b.temperature > no_flow.temperature;
  if (a_flows && b_flows) return mean_between(a, b);
  if (!a_flows && !b_flows) return 0.0;
  const Place& warm = a_flows ? a : b;
  const Place& cold = a_flows ? b : a;
  const double share =
      (warm.temperature - no_flow.temperature) / (warm.temperature - cold.temperature);
  return share * mean_between(warm, no_flow);
}

/// Walks over the borders and centres of one column at a time.
template <class Law>
class Columns {
 public:
  Columns(const Law& law, const Material& material, const GapGrid& grid,
          const MouldContact& contact)
      : law_(law),
        grid_(grid),
        contact_(contact),
        reference_(reference(law)),
        conductivity_(material.conductivity),
        no_flow_temperature_(material.no_flow_temperature) {}

  /// @param contact of this column with the mould [W/(m² K)]
  void operator()(std::span<const double> T, double p, double half_gap, double contact,
                  double* inverse) const {
    const auto n = static_cast<std::size_t>(grid_.columns());
    const Place no_flow = at(no_flow_temperature_, p);
    const double outer =
        grid_.walls_differ() ? contact_.moving : 0.5 * (contact_.fixed + contact_.moving);
    const Wall wall{half_gap, contact};
    Place below = at(grid_.walls_differ() ? surface(T[0], contact_.fixed, wall) : T[0], p);
    for (std::size_t c = 0; c < n; ++c) {
      const Place centre = at(T[c], p);
      const Place above = at(c + 1 < n ? border(T, c) : surface(T[c], outer, wall), p);
      inverse[c] = 0.5 * reference_ *
                   (flowing_mean(below, centre, no_flow) + flowing_mean(centre, above, no_flow));
      below = above;
    }
  }

 private:
  struct Wall {
    double half_gap, contact;
  };
  Place at(double T, double p) const {
    if (T < no_flow_temperature_) return {T, 0.0, 0.0};
    const double x = T > 0.0 ? exponent(law_, T, p) : 0.0;
    return {T, x, std::exp(x)};
  }
  /// Between the centres of layers c and c + 1, where the flux of both is the same.
  double border(std::span<const double> T, std::size_t c) const {
    const int k = static_cast<int>(c);
    const double here = grid_.column_border(k + 1) - grid_.column_border(k);
    const double next = grid_.column_border(k + 2) - grid_.column_border(k + 1);
    return (T[c] * next + T[c + 1] * here) / (here + next);
  }
  /// Melt at the wall: half a layer and the contact in series.
  double surface(double T, double mould, const Wall& wall) const {
    if (wall.contact <= 0.0) return T;
    const double half_layer =
        0.5 * wall.half_gap * (1.0 - grid_.border(grid_.layers() - 1)) / conductivity_;
    return T + (mould - T) * half_layer / (half_layer + 1.0 / wall.contact);
  }

  const Law& law_;
  const GapGrid& grid_;
  const MouldContact& contact_;
  double reference_;  // [1/(Pa s)]
  double conductivity_;
  double no_flow_temperature_;
};

}  // namespace

void inverse_viscosity(const Material& material, const GapGrid& grid, const MouldContact& contact,
                       const LayeredColumns& columns, std::span<double> inverse) {
  const auto n = static_cast<std::size_t>(grid.columns());
  std::visit(
      [&](const auto& law) {
        const Columns walk(law, material, grid, contact);
        parallel_for(columns.pressure.size(), [&](std::size_t i) {
          if (!(columns.fill[i] > 0.0)) return;
          const double better = columns.contact.empty() ? 1.0 : columns.contact[i];
          walk(columns.temperature.subspan(i * n, n), columns.pressure[i], columns.half_gap[i],
               better * contact.conductance, inverse.data() + i * n);
        });
      },
      material.viscosity);
}

}  // namespace firstshot
