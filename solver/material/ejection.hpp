// When a moulding may be pushed out, and how it loses its heat until then.
#pragma once

namespace firstshot {

enum class EjectionCriterion { core, mean };
/// When a piece may be pushed out: its hottest layer, or its mean, is no warmer than this.
struct EjectionLimit {
  EjectionCriterion criterion = EjectionCriterion::core;
  double temperature = 353.15;  ///< [K]
};

/// How the plastic resists being pushed out. Values of polystyrenes, from memory, unconfirmed.
struct Release {
  double friction = 0.4;   ///< against the mould [-]
  double modulus = 1.5e9;  ///< of elasticity at ejection [Pa]
  double strength = 15e6;  ///< at which a pin dents it at ejection [Pa]
  bool operator==(const Release&) const = default;
};

/// From the end of holding to the next shot.
struct Cooling {
  double detached_conductance = 2e3;  ///< once the part has shrunk away [W/(m² K)]
  EjectionLimit parts, runners;
  double time = -1.0;       ///< from the end of holding until the mould opens [s]; < 0: as needed
  double eject_time = 1.0;  ///< until the mould may close again [s]
};

}  // namespace firstshot
