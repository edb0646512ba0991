#include "solver/stage/gap_mass.hpp"

#include <algorithm>

#include "solver/numeric/parallel.hpp"

namespace firstshot {

GapMass::GapMass(const ControlVolumes& volumes, const GapGrid& grid, const TaitPvt& pvt)
    : volumes_(volumes), grid_(grid), pvt_(pvt) {
  const auto n = static_cast<std::size_t>(grid.columns());
  branch_.resize(volumes.n_nodes() * n);
  loose_.resize(volumes.n_nodes());
  moving_.resize(volumes.n_nodes());
  for (int c = 0; c < grid.columns(); ++c) {
    slit_share_.push_back(grid.share(c, false));
    round_share_.push_back(grid.share(c, true));
  }
}

void GapMass::prepare(std::span<const double> temperature, std::span<const double> pressure) {
  parallel_for(volumes_.n_nodes(), [&](std::size_t i) { prepare(i, temperature, pressure[i]); });
}

void GapMass::prepare(std::size_t node, std::span<const double> temperature, double pressure) {
  const auto n = static_cast<std::size_t>(grid_.columns());
  const std::span<const double> T = temperature.subspan(node * n, n);
  for (std::size_t c = 0; c < n; ++c) branch_[node * n + c] = tait_branch(pvt_, T[c], pressure);
  loose_[node] = at(node, 0.0).mass;
  const auto hottest = static_cast<std::size_t>(std::max_element(T.begin(), T.end()) - T.begin());
  moving_[node] = density_at(branch_[node * n + hottest], pressure).density;
}

NodeMass GapMass::at(std::size_t node, double pressure) const {
  const auto n = static_cast<std::size_t>(grid_.columns());
  const std::vector<double>& share = volumes_.round[node] != 0 ? round_share_ : slit_share_;
  NodeMass sum;
  for (std::size_t c = 0; c < n; ++c) {
    const TaitDensity d = density_at(branch_[node * n + c], pressure);
    sum.mass += share[c] * d.density;
    sum.slope += share[c] * d.slope;
  }
  return {volumes_.volume[node] * sum.mass, volumes_.volume[node] * sum.slope};
}

}  // namespace firstshot
