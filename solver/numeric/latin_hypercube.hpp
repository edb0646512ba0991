// Latin hypercube: n points in the unit cube of which each axis, cut into n equal slices, has
// exactly one in every slice [McKayBeckmanConover1979]. Means over it are unbiased, and for
// functions that rise or fall along each axis they scatter less than those of n independent points.
#pragma once

#include <cstddef>
#include <cstdint>
#include <random>
#include <vector>

namespace firstshot {

/// Random numbers of a stated seed, the same on every machine: a Mersenne Twister of 64 bits.
class SeededRandom {
 public:
  explicit SeededRandom(std::uint64_t seed) : engine_(seed) {}
  /// Even in 0 < u < 1.
  double uniform();
  /// Even in 0 … n - 1. @param n > 0
  std::size_t below(std::size_t n);
  /// Mean 0, variance 1, from the inverse of the normal distribution.
  double normal();

 private:
  std::mt19937_64 engine_;
};

/// (points, axes) in 0 < u < 1; equal for equal arguments. @param points ≥ 1
std::vector<std::vector<double>> latin_hypercube(std::size_t points, std::size_t axes,
                                                 std::uint64_t seed);

/// Value that a normal variable of mean 0 and variance 1 stays below with this share; 0 < share
/// < 1.
double normal_quantile(double share);

}  // namespace firstshot
