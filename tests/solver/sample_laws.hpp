// Viscosity laws of polystyrenes that several tests use. The numbers and their sources stand in the
// material cards (cases/materials); tests/io checks that the cards hold the same numbers.
#pragma once

#include "solver/material/viscosity.hpp"

namespace firstshot::sample {

inline constexpr double kelvin(double celsius) { return celsius + 273.15; }

inline CrossWlf gpps_medium() { return {0.252, 3.080e4, 4.76e10, 373.15, 2e-7, 25.74, 61.06}; }
inline CrossWlf gpps_stiff() { return {0.2531, 6.051e4, 1.808e12, 373.15, 2e-7, 30.40, 60.09}; }
inline CrossWlf hips_base() { return {0.2036, 6.0e4, 1.772e12, 373.15, 2e-7, 30.40, 60.09}; }
inline CrossWlf hips_8() { return {0.2036, 6.0e4, 6.934e11, 373.15, 2e-7, 30.40, 60.09}; }
inline CrossWlf hips_12() { return {0.2036, 6.0e4, 4.623e11, 373.15, 2e-7, 30.40, 60.09}; }
inline CrossWlf gpps_10() { return {0.252, 3.08e4, 4.547e10, 373.15, 2e-7, 25.74, 61.06}; }
inline CrossWlf gpps_20() { return {0.252, 3.08e4, 2.273e10, 373.15, 2e-7, 25.74, 61.06}; }
/// Refit of handbook power laws of a general-purpose polystyrene; level of η₀ not identifiable.
inline CrossWlf gpps_handbook() { return {0.2439, 3.724e4, 3.060e12, 373.15, 2e-7, 30.40, 60.09}; }
/// Another general-purpose grade from memory; suspected to be too viscous, used in tests only.
inline CrossExponential gpps_exponential() { return {0.324, 1.791e4, 2.591e-7, 11680.0, 0.0}; }

}  // namespace firstshot::sample
