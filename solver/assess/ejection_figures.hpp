// Ejector pins against the places where plastic holds on to the mould.
//
// Plastic shrinks away from outer walls and onto cores: the walls of its openings. Grip of a part =
// length of its inner rims × wall, straight; of a solid the walls that look at steel inside the
// part, with their draft (mesh/solid/wall_draft). A part with grip needs a pin near it, or it stays
// on the core or breaks off at the gate. Limits: own judgement and common practice, no source.
#pragma once

#include <optional>
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
  double wall = 0.0;  ///< under it on a part [m]
};

/// What it takes to get a part off its cores when the mould opens (release_force.hpp).
struct ReleaseForce {
  double strain = 0.0;                                    ///< that its cores hold back [-]
  double force = 0.0, force_low = 0.0, force_high = 0.0;  ///< [N]
  double pins_push = 0.0;    ///< of the pins on the part, before they dent it [N]
  double gates_carry = 0.0;  ///< before they shear off [N]
};

struct PartGrip {
  std::string part;
  double grip = 0.0;          ///< area of walls around steel [m²]
  Point at;                   ///< middle of the longest inner rim, or of a wall [m]
  double nearest_pin = -1.0;  ///< from there [m], -1: there is none
  AreaByDraft walls{};        ///< the grip by draft [m²]
  double ring = 0.0;          ///< steel inside over plastic around it, a²/(b² - a²) [-]
  std::optional<ReleaseForce> release;  ///< null when the run gives no strain
};

struct EjectionFigures {
  std::vector<PinPlace> pins;
  std::vector<PartGrip> parts;  ///< with openings only, most grip first
};
EjectionFigures ejection_figures(const Setup& setup);

}  // namespace firstshot
