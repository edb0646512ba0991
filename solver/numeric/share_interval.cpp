#include "solver/numeric/share_interval.hpp"

#include <cassert>

#include <boost/math/special_functions/beta.hpp>

namespace firstshot {

ShareInterval share_interval(std::size_t good, std::size_t n, double confidence) {
  assert(n >= 1 && good <= n && confidence > 0.0 && confidence < 1.0);
  const auto k = static_cast<double>(good), all = static_cast<double>(n);
  const double tail = 0.5 * (1.0 - confidence);
  ShareInterval interval;
  if (good > 0) interval.low = boost::math::ibeta_inv(k, all - k + 1.0, tail);
  if (good < n) interval.high = boost::math::ibeta_inv(k + 1.0, all - k, 1.0 - tail);
  return interval;
}

}  // namespace firstshot
