// Closed solid of the whole shot → Model.
//
// A mould milled with a straight draw makes every cavity a height field over the parting plane: one
// interval of melt per line along the draw. Its outline becomes the mesh, its chord and the
// heights of its middle the thickness and the lifted mid-surface. Steps: check_shell → draw_frame →
// height_field → outlines → roles (parts, gates, runners) → triangles → relief on them.
//
// The Model lies in the frame of the draw: z along the draw, x and y the other two axes in
// cyclic order, so that a frame drawn with its draw along z keeps its coordinates.
#pragma once

#include <array>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "mesh/build_model.hpp"
#include "mesh/model.hpp"
#include "mesh/side_walls.hpp"
#include "mesh/solid/check_shell.hpp"

namespace firstshot {

struct SolidOptions {
  MeshOptions mesh;
  std::optional<Point3> draw;  ///< direction of the draw; empty: the best of the three axes
  /// Undercuts that are smaller than this seen along the draw are filled [m]; 0: none are.
  double undercut_tolerance = 0.0;
  std::optional<Point> injection;   ///< empty: the sprue that is found
  double injection_diameter = 0.0;  ///< mouth without sprue [m]; 0: twice the thickness there
  /// When > 0: melt enters through this length of rim around `injection`, and no sprue is sought.
  double injection_width = 0.0;
  std::vector<PartMark> parts;  ///< names; places in the frame of the draw
  /// Called between steps with what comes next and the share done, 0 to 1.
  std::function<void(const std::string& step, double share)> progress;
};

/// Right-handed axes of the frame of the draw, in the coordinates of the file.
struct DrawFrame {
  Point3 x{1.0, 0.0, 0.0}, y{0.0, 1.0, 0.0}, z{0.0, 0.0, 1.0};
  Point3 into(const Point3& p) const;    ///< file → frame of the draw
  Point3 out_of(const Point3& p) const;  ///< frame of the draw → file
};

/// A place where lines along the draw pass through melt more than once.
struct Undercut {
  Point3 at;          ///< middle of the gap between the two [m]
  double size = 0.0;  ///< larger extent seen along the draw [m]
  double gap = 0.0;   ///< largest height of the gap [m]
};

/// A neck between a runner and a part, or between two parts; its channel bears the same name.
struct GateFound {
  std::string name;
  Point at;                  ///< narrowest place [m]
  double width = 0.0;        ///< there [m]
  double depth = 0.0;        ///< of the section there [m]
  double length = 0.0;       ///< between the two wider pieces [m]
  std::int32_t region = -1;  ///< region that it leads out of
  std::int32_t part = -1;    ///< region that it feeds
};

/// The sprue that was taken off.
struct SprueFound {
  Point at;
  double length = 0.0, nozzle_diameter = 0.0, foot_diameter = 0.0;  ///< [m]
};

struct SolidReport {
  ShellFindings shell;
  DrawFrame frame;
  bool draw_was_given = false;
  double cell = 0.0;                ///< spacing of the lines along the draw [m]
  double volume = 0.0;              ///< melt between lower and upper surface, sprue included [m³]
  double projected_area = 0.0;      ///< inside the outlines [m²]
  std::vector<Undercut> undercuts;  ///< filled, since below the tolerance
  std::vector<GateFound> gates;
  std::vector<SideWalls> walls;  ///< of parts
  std::optional<SprueFound> sprue;
  std::vector<std::string> unused_marks;  ///< names of marks with no part at their place
};

/// All lengths and places of a report times `factor` > 0.
void scale(SolidReport& report, double factor);

/// @param report what was found on the way, may be null; on an error it holds what was found so far
/// @throws GeometryError for an open solid, an undercut above the tolerance, a frame in pieces that
/// the melt cannot reach, an injection point off the frame, no sprue and no injection point, two
/// marks in one part.
Model build_solid_model(const Shell& shell, const SolidOptions& options,
                        SolidReport* report = nullptr);

}  // namespace firstshot
