// What `calibrate` estimates: positive keys of a case that nobody knows well, each with what
// is known beforehand, as a normal distribution of its logarithm around the value of the case.
//
//   viscosity_factor     the card's band, one standard deviation of the viscosity at moulding shear
//                        rates. A thinning melt shows a factor f as f^m only, m = d ln η/d ln f at
//                        1000 1/s and melt temperature, so the spread of ln f is ln(1 + band)/m.
//   entrance_length      band 2 to 5 radii of the key's own text
//   contact_conductance  a factor of 3 either way, own judgement: publications agree only in that
//                        it depends on pressure, place and time
//   parting_line_gap     3 to 10 µm, "known within a factor of several only" (common practice, no
//                        source)
//   vent_depth_factor    a factor of 1.5 either way on the depth of all vents, own judgement: a
//                        film or wear of 10 µm on a depth of 20 to 30 µm. One factor for all of
//                        them: a trial seldom says which vent it was.
//
// Bands are taken as two standard deviations from end to end.
#pragma once

#include <string>
#include <vector>

#include "io/build_setup.hpp"
#include "solver/whole/prior_fit.hpp"

namespace firstshot {

struct CalibratedFactor {
  std::string name;    ///< as on the command line, "viscosity_factor"
  std::string words;   ///< "viscosity factor"
  std::string key;     ///< of the case
  double value = 0.0;  ///< in the case [SI]
  PriorFactor prior;
  std::string prior_source;
};

/// Names that may be asked for, in the order of the answers.
const std::vector<std::string>& calibrated_names();

struct FactorChoice {
  std::vector<CalibratedFactor> factors;
  std::vector<std::string> left_out;  ///< one sentence each: what cannot be estimated, and why
};

/// @param wanted names; empty: all that the case lets vary
/// @throws Error an unknown name, or one that was asked for but has no meaning in this case
FactorChoice choose_factors(const BuiltSetup& built, const std::vector<std::string>& wanted);

/// The key with the value whose logarithm this is.
CaseOverride override_of(const CalibratedFactor& factor, double logarithm);
/// "1.42", "4.8 um": three digits and a unit that suits.
std::string factor_text(const CalibratedFactor& factor, double value);
/// d ln η/d ln f of a law at moulding shear rates [-], 0 < m ≤ 1.
double viscosity_share(const ViscosityLaw& law, double melt_temperature);

}  // namespace firstshot
