#include "io/calibrated_factors.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "io/case_keys.hpp"

namespace firstshot {
namespace {

constexpr double moulding_shear_rate = 1000.0;  // of melt in thin walls [1/s]
constexpr double least_band = 0.05;             // of a viscosity; no card is known better [-]
constexpr double entrance_low = 2.0, entrance_high = 5.0;  // radii
constexpr double conductance_factor = 3.0;
constexpr double vent_factor = 1.5;
constexpr double gap_low = 3e-6, gap_high = 10e-6;  // [m]

double half_band(double low, double high) { return 0.5 * std::log(high / low); }

CalibratedFactor factor_of(const std::string& name, const std::string& key, double value,
                           double spread, const std::string& source) {
  CalibratedFactor f{name, name, key, value, {std::log(value), spread}, source};
  std::replace(f.words.begin(), f.words.end(), '_', ' ');
  const Range& range = find_key(key)->range;
  // What a key may not be, nor anything that is hardly different from it.
  constexpr double far = 4.0;  // spreads of the prior
  f.prior.low = f.prior.mean - far * spread;
  f.prior.high = f.prior.mean + far * spread;
  if (range.min > 0.0) f.prior.low = std::max(f.prior.low, std::log(range.min));
  if (std::isfinite(range.max)) f.prior.high = std::min(f.prior.high, std::log(range.max));
  return f;
}

struct Candidate {
  std::string name, why_not;  ///< empty: it can be estimated
  CalibratedFactor factor;
};

std::vector<Candidate> candidates_of(const BuiltSetup& built) {
  const Case& c = built.resolved;
  const double band = std::max(least_band, built.setup.material.viscosity_band);
  const double m = viscosity_share(built.setup.material.viscosity, c.process.melt_temperature);
  std::vector<Candidate> all;
  const auto add = [&](const std::string& name, const std::string& key, double value,
                       const std::string& why_not, double spread, const std::string& source) {
    all.push_back({name, why_not, {}});
    if (why_not.empty()) all.back().factor = factor_of(name, key, value, spread, source);
  };
  add("viscosity_factor", "material.viscosity_factor", c.material.viscosity_factor, "",
      std::log(1.0 + band) / m,
      fmt::format("the card's band of {:.0f} % as one standard deviation; at moulding shear rates "
                  "this melt shows a factor f as f^{:.2f}",
                  100.0 * band, m));
  add("entrance_length", "process.entrance_length", c.process.entrance_length,
      c.process.entrance_length > 0.0 ? "" : "process.entrance_length is 0 in the case",
      half_band(entrance_low, entrance_high), "band of 2 to 5 radii, common practice, no source");
  const bool insulated = c.material.contact_conductance <= 0.0 || built.setup.isothermal;
  add("contact_conductance", "material.contact_conductance", c.material.contact_conductance,
      insulated ? "no heat goes into the mould in this case" : "", std::log(conductance_factor),
      "a factor of 3 either way, own judgement");
  const bool leaks = c.air.enabled && c.air.parting_line_gap > 0.0;
  add("parting_line_gap", "air.parting_line_gap", c.air.parting_line_gap,
      leaks ? "" : "no air leaves through the parting line in this case",
      half_band(gap_low, gap_high), "band of 3 to 10 um, common practice, no source");
  const bool vented = c.air.enabled && !c.layout.vents.empty();
  add("vent_depth_factor", "air.vent_depth_factor", c.air.vent_depth_factor,
      vented ? "" : "this case has no vents", std::log(vent_factor),
      "a factor of 1.5 either way on the depth of all vents, own judgement");
  return all;
}

}  // namespace

const std::vector<std::string>& calibrated_names() {
  static const std::vector<std::string> names = {"viscosity_factor", "entrance_length",
                                                 "contact_conductance", "parting_line_gap",
                                                 "vent_depth_factor"};
  return names;
}

FactorChoice choose_factors(const BuiltSetup& built, const std::vector<std::string>& wanted) {
  for (const std::string& name : wanted) {
    const auto& known = calibrated_names();
    if (std::find(known.begin(), known.end(), name) != known.end()) continue;
    const std::string near = nearest_word(name, known);
    throw Error(fmt::format("\"{}\" cannot be calibrated{}; allowed: {}", name,
                            near.empty() ? "" : fmt::format(" (\"{}\"?)", near),
                            fmt::join(known, ", ")));
  }
  FactorChoice choice;
  for (const Candidate& c : candidates_of(built)) {
    const bool asked = std::find(wanted.begin(), wanted.end(), c.name) != wanted.end();
    if (!wanted.empty() && !asked) continue;
    if (c.why_not.empty())
      choice.factors.push_back(c.factor);
    else if (asked)
      throw Error(fmt::format("{} cannot be calibrated: {}", c.name, c.why_not));
    else
      choice.left_out.push_back(fmt::format("{} is left out: {}", c.name, c.why_not));
  }
  return choice;
}

CaseOverride override_of(const CalibratedFactor& factor, double logarithm) {
  const double value = std::exp(logarithm);
  const KeySpec& spec = *find_key(factor.key);
  return {factor.key, spec.kind == ValueKind::quantity ? format_quantity(value, spec.dimension)
                                                       : format_number(value)};
}

std::string factor_text(const CalibratedFactor& factor, double value) {
  const KeySpec& spec = *find_key(factor.key);
  if (spec.kind != ValueKind::quantity) return fmt::format("{:.3g}", value);
  if (spec.dimension == Dimension::length) return fmt::format("{:.3g} um", value * 1e6);
  // Three digits: 12345 → 12300.
  const double scale = std::pow(10.0, std::floor(std::log10(value)) - 2.0);
  return fmt::format("{:g} {}", std::round(value / scale) * scale,
                     unit_symbols(spec.dimension).front());
}

double viscosity_share(const ViscosityLaw& law, double melt_temperature) {
  constexpr double step = 0.01;
  const auto log_viscosity = [&](double log_factor) {
    return std::log(
        viscosity(scaled(law, std::exp(log_factor)), moulding_shear_rate, melt_temperature, 0.0));
  };
  return (log_viscosity(step) - log_viscosity(-step)) / (2.0 * step);
}

}  // namespace firstshot
