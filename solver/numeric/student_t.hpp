// Quantiles of the normal and of Student's t distribution, and the logarithm of the normal
// distribution function far into its tail, where the function itself is 0 in double precision.
#pragma once

#include <limits>

namespace firstshot {

/// Degrees of freedom at which Student's t is the normal distribution.
inline constexpr double endless_degrees = std::numeric_limits<double>::infinity();

/// Value that a variable with Student's t distribution stays below with this share. Degrees of
/// freedom need not be whole. @param share 0 < share < 1 @param degrees > 0, may be endless_degrees
double student_t_quantile(double share, double degrees);

/// ln Φ(z), Φ the distribution function of a normal variable of mean 0 and variance 1.
double log_normal_share(double z);

}  // namespace firstshot
