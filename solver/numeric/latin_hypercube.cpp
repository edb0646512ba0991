#include "solver/numeric/latin_hypercube.hpp"

#include <cassert>
#include <numeric>
#include <utility>

#include <boost/math/distributions/normal.hpp>

namespace firstshot {

double SeededRandom::uniform() {
  // 53 bits, in the middle of their steps: neither 0 nor 1.
  constexpr double step = 0x1.0p-53;
  constexpr int unused_bits = 11;
  return (static_cast<double>(engine_() >> unused_bits) + 0.5) * step;
}

std::size_t SeededRandom::below(std::size_t n) {
  assert(n > 0);
  return static_cast<std::size_t>(uniform() * static_cast<double>(n));
}

double SeededRandom::normal() { return normal_quantile(uniform()); }

std::vector<std::vector<double>> latin_hypercube(std::size_t points, std::size_t axes,
                                                 std::uint64_t seed) {
  SeededRandom random(seed);
  std::vector<std::vector<double>> cube(points, std::vector<double>(axes));
  std::vector<std::size_t> slice(points);
  for (std::size_t axis = 0; axis < axes; ++axis) {
    std::iota(slice.begin(), slice.end(), std::size_t{0});
    for (std::size_t i = points; i > 1; --i) std::swap(slice[i - 1], slice[random.below(i)]);
    for (std::size_t i = 0; i < points; ++i)
      cube[i][axis] =
          (static_cast<double>(slice[i]) + random.uniform()) / static_cast<double>(points);
  }
  return cube;
}

double normal_quantile(double share) {
  return boost::math::quantile(boost::math::normal_distribution<double>(), share);
}

}  // namespace firstshot
