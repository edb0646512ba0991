#include "solver/numeric/student_t.hpp"

#include <cassert>
#include <cmath>
#include <numbers>

#include <boost/math/distributions/students_t.hpp>

#include "solver/numeric/latin_hypercube.hpp"

namespace firstshot {

double student_t_quantile(double share, double degrees) {
  assert(degrees > 0.0);
  // Beyond, the two differ by less than rounding.
  constexpr double as_good_as_endless = 1e12;
  if (!(degrees < as_good_as_endless)) return normal_quantile(share);
  return boost::math::quantile(boost::math::students_t_distribution<double>(degrees), share);
}

double log_normal_share(double z) {
  // From here on erfc is tiny; the asymptotic series is then exact to 1e-9 with five terms.
  constexpr double tail = -10.0;
  if (z > tail) return std::log(0.5 * std::erfc(-z / std::numbers::sqrt2));
  const double x = 1.0 / (z * z);
  const double series = 1.0 - x * (1.0 - 3.0 * x * (1.0 - 5.0 * x * (1.0 - 7.0 * x)));
  return -0.5 * z * z - std::log(-z) - 0.5 * std::log(2.0 * std::numbers::pi) + std::log(series);
}

}  // namespace firstshot
