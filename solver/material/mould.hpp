// The mould as a body that carries the heat away: its metal, and the bores that a coolant runs
// through.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace firstshot {

/// Figures of the metal at about 40 °C.
struct MouldMetal {
  std::string name;              ///< as in the case, "aluminium-7075"
  double conductivity = 130.0;   ///< [W/(m K)]
  double density = 2810.0;       ///< [kg/m³]
  double heat_capacity = 960.0;  ///< [J/(kg K)]
  bool operator==(const MouldMetal&) const = default;
};

/// Metals that the program knows. Figures from memory, unconfirmed (data sheets of the alloys); for
/// tool steels makers state 29 to 40 W/(m K), for aluminium of moulds 117 to 165.
const std::vector<MouldMetal>& mould_metals();
/// @return nullptr for an unknown name
const MouldMetal* find_mould_metal(const std::string& name);

/// A row of parallel bores under the face of one half, all in one circuit.
struct MouldChannels {
  double diameter = 8e-3;       ///< [m] > 0
  double pitch = 40e-3;         ///< between neighbours, middle to middle [m] > diameter
  double depth = 15e-3;         ///< of their middle under the moulding face [m] > diameter/2
  double temperature = 303.15;  ///< of the water where it enters [K]
  double flow_rate = 1e-4;      ///< [m³/s] > 0
  bool operator==(const MouldChannels&) const = default;
};

struct Mould {
  MouldMetal metal;
  std::optional<MouldChannels> fixed, moving;  ///< both or none
  double plate_thickness = 40e-3;              ///< of each half, for warming up [m]
  double margin = 30e-3;  ///< of the plates around the frame, for warming up [m]
  bool operator==(const Mould&) const = default;
};

}  // namespace firstshot
