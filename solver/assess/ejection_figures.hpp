// Ejector pins against the places where plastic holds on to the mould.
//
// Plastic shrinks away from outer walls and onto cores: the walls of its openings. Grip of a part =
// length of its inner rims × wall. A part with grip needs a pin near it, or it stays on the core or
// breaks off at the gate; the force itself (stiffness at ejection, friction, draft) is not
// reckoned. Draft is not known of a layout or a drawing. Limits: own judgement and common practice,
// no source.
#pragma once

#include <string>
#include <vector>

#include "solver/setup.hpp"

namespace firstshot {

struct PinPlace {
  std::string name;
  Point at;               ///< [m]
  double diameter = 0.0;  ///< [m]
  std::string stands_on;  ///< part or channel, empty where there is no plastic
  bool on_visible = false;
};

struct PartGrip {
  std::string part;
  double grip = 0.0;          ///< area of inner walls [m²]
  Point at;                   ///< middle of the longest inner rim [m]
  double nearest_pin = -1.0;  ///< from there [m], -1: there is none
};

struct EjectionFigures {
  std::vector<PinPlace> pins;
  std::vector<PartGrip> parts;  ///< with openings only, most grip first
};
EjectionFigures ejection_figures(const Setup& setup);

}  // namespace firstshot
