// A frame as drawn: outlines with thickness, runners as lines with a section, gates, one sprue.
// Values only, as the reader of a layout file fills them; mesh/build_model turns them into a Model.
// SI units.
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "mesh/section.hpp"
#include "mesh/tri_mesh.hpp"

namespace firstshot {

/// What a piece of the shot is for.
enum class Role { part, runner, gate, sprue };
std::string role_name(Role role);

/// Corner of a polygon; `bulge` bends the side that starts here into an arc: tan(arc angle / 4),
/// positive to the right of the direction of travel as in the DXF standard (counter-clockwise arc).
struct Corner {
  Point at;
  double bulge = 0.0;
};
struct PolygonShape {
  std::vector<Corner> corners;  ///< at least 3, or 2 with a bulge; either sense of rotation
};
struct CircleShape {
  Point centre;
  double diameter = 0.0;  ///< [m] > 0
};
struct RectangleShape {
  Point centre;
  double width = 0.0;          ///< [m] > 0, along x before turning
  double height = 0.0;         ///< [m] > 0, along y before turning
  double corner_radius = 0.0;  ///< [m] ≥ 0, at most half the shorter side
  double turn = 0.0;           ///< about the centre, counter-clockwise [rad]
};
using Shape = std::variant<PolygonShape, CircleShape, RectangleShape>;

/// Place where an entry stands in its file, for errors: "layout.toml:12:1". Empty when made in
/// code.
using Origin = std::string;

/// A region of other thickness inside a part (a ledge, a plinth, a thin panel).
struct Step {
  Shape outline;
  double thickness = 0.0;  ///< [m] > 0
  Origin origin;
};

/// A flat piece meshed with triangles: a part, or a runner or gate drawn as an area.
struct Area {
  std::string name;
  Role role = Role::part;
  Shape outline;
  double thickness = 0.0;  ///< full gap [m] > 0
  std::vector<Shape> holes;
  std::vector<Step> steps;
  bool visible = false;  ///< has a face the customer sees
  Origin origin;
};

/// A runner drawn as a line; its section may taper from the first point to the last.
struct RunnerLine {
  std::string name;
  std::vector<Point> points;  ///< at least 2, no two the same in a row
  Section start, end;         ///< same kind
  Origin origin;
};

/// A gate from a runner to the rim of an area: `from` lies on a runner (or on the sprue foot or the
/// rim of another area), `to` on the outline of an area. Its mouth is `width` wide along the rim
/// around `to`.
struct GateLine {
  std::string name;
  Point from, to;
  double width = 0.0;  ///< [m] > 0
  double depth = 0.0;  ///< [m] > 0
  Origin origin;
};

/// Conical inlet along the draw, from the nozzle down to the frame.
struct Sprue {
  Point at;
  double length = 0.0;           ///< [m] > 0
  double nozzle_diameter = 0.0;  ///< at the nozzle [m] > 0
  double foot_diameter = 0.0;    ///< at the frame [m] > 0
  Origin origin;
};

/// What the user says of a part that was found in a drawing or solid: its name and whether it
/// shows.
struct PartMark {
  std::string name;
  Point inside;  ///< any point of the part [m]
  bool visible = false;
  Origin origin;
};

/// A slit cut into the parting line, from a rim to a deep channel or the edge of the mould.
struct Vent {
  std::vector<Point> at;  ///< one place on a rim or a runner's end, or the ends of a line along it
  double width = 0.0;     ///< along the rim, all slits of a line together [m] > 0
  double depth = 0.0;     ///< [m] > 0
  double land = 0.0;      ///< length of the slit [m] > 0
  Origin origin;
};

/// A pin that pushes the frame out of the mould, with the gap around it through which air leaves.
struct EjectorPin {
  std::string name;
  Point at;                ///< middle of its face [m]
  double diameter = 0.0;   ///< [m] > 0
  double clearance = 0.0;  ///< gap between pin and bore on each side, pin in the middle [m] > 0
  double land = 0.0;       ///< length of that gap, up to where the bore is wider [m] > 0
  Origin origin;
};

struct Layout {
  std::vector<Area> areas;
  std::vector<RunnerLine> runners;
  std::vector<GateLine> gates;
  std::vector<Vent> vents;
  std::vector<EjectorPin> ejectors;
  std::optional<Sprue> sprue;
  Point injection;  ///< where the melt enters the frame when there is no sprue
  /// Mouth of the injection on an area without sprue [m]; 0: twice the thickness there.
  double injection_diameter = 0.0;
  /// When > 0 and there is no sprue: the melt enters through this length of rim around `injection`,
  /// which must lie on the rim of an area [m]. The mouth of a film gate, or of a strip fed at its
  /// end.
  double injection_width = 0.0;
  Origin injection_origin;
};

}  // namespace firstshot
