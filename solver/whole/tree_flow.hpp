// Power-law flow through a tree of resistances: Δp = R Q^n in every branch, all with one n. In a
// row R adds up, side by side R^(-1/n) does, so that two passes over the tree solve it. For double
// and for Dual (numeric/dual.hpp), which brings the slopes of all flows.
#pragma once

#include <cmath>
#include <vector>

#include "solver/numeric/dual.hpp"

namespace firstshot {

/// Branches with their parents before them; -1: at the root.
template <class T>
struct ResistanceTree {
  std::vector<int> parent;
  std::vector<T> resistance;  ///< R [Pa (s/m³)^n] ≥ 0, infinite: closed
};

/// What the tree lets through, all ends at pressure 0.
template <class T>
struct TreeFlow {
  std::vector<T> share;  ///< of each branch in the flow that enters at the root [-]
  T conductance = 0.0;   ///< flow at 1 Pa [m³/(s Pa^(1/n))]; 0 when all ends are closed
};

/// @param n > 0
template <class T>
TreeFlow<T> tree_flow(const ResistanceTree<T>& tree, double n) {
  using std::pow;
  const std::size_t count = tree.parent.size();
  std::vector<T> beyond(count, T(0.0)), whole(count, T(0.0));
  std::vector<bool> is_end(count, true);
  for (const int p : tree.parent)
    if (p >= 0) is_end[static_cast<std::size_t>(p)] = false;
  TreeFlow<T> out;
  for (std::size_t k = count; k-- > 0;) {
    if (is_end[k])
      whole[k] = pow(tree.resistance[k], -1.0 / n);
    else if (plain(beyond[k]) > 0.0)
      whole[k] = pow(tree.resistance[k] + pow(beyond[k], -n), -1.0 / n);
    T& at = tree.parent[k] < 0 ? out.conductance : beyond[static_cast<std::size_t>(tree.parent[k])];
    at += whole[k];
  }
  out.share.resize(count, T(0.0));
  for (std::size_t k = 0; k < count; ++k) {
    const int p = tree.parent[k];
    const T& all = p < 0 ? out.conductance : beyond[static_cast<std::size_t>(p)];
    if (!(plain(all) > 0.0)) continue;
    const T in = p < 0 ? T(1.0) : out.share[static_cast<std::size_t>(p)];
    out.share[k] = in * whole[k] / all;
  }
  return out;
}

}  // namespace firstshot
