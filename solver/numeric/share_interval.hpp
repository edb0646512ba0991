// How sure a share is that was counted in a sample: `good` of `n` independent draws.
//
// Clopper-Pearson [ClopperPearson1934]: the shares p for which neither "at most `good`" nor "at
// least `good`" has a probability below (1 - confidence)/2. With quantiles of the beta distribution
//   low = B((1-c)/2; good, n - good + 1),   high = B((1+c)/2; good + 1, n - good)
// It covers the true share at least as often as stated. For a Latin hypercube, whose counts scatter
// no more than those of independent draws where the outcome rises or falls along each axis, it is
// too wide rather than too narrow.
#pragma once

#include <cstddef>

namespace firstshot {

struct ShareInterval {
  double low = 0.0, high = 1.0;  ///< [-]
};

/// @param n ≥ 1 @param good ≤ n @param confidence 0 < c < 1
ShareInterval share_interval(std::size_t good, std::size_t n, double confidence);

}  // namespace firstshot
