// Heat that a material holds: integral of its heat capacity over temperature, so that heat taken
// out in steps of any size adds up exactly.
//
//   h(T) = ∫ c_p dT from 0 °C; c_p straight between the points of the card, flat beyond its ends.
#pragma once

#include <vector>

#include "solver/material/material.hpp"

namespace firstshot {

/// At one temperature.
struct HeatContent {
  double heat = 0.0;      ///< against 0 °C [J/kg]
  double capacity = 0.0;  ///< dh/dT [J/(kg K)]
};

class Enthalpy {
 public:
  explicit Enthalpy(const HeatCapacity& capacity);

  /// Heat content against 0 °C [J/kg] at a temperature [K].
  double at(double T) const;
  /// dh/dT [J/(kg K)].
  double capacity(double T) const;
  /// Both at once.
  HeatContent content(double T) const;

 private:
  struct Piece {
    double begin, value, slope, sum;  // T [K], c_p there, dc_p/dT, h there
  };
  const Piece& piece(double T) const;
  std::vector<Piece> pieces_;  // the first reaches down without end
  double zero_ = 0.0;
};

}  // namespace firstshot
