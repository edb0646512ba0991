// Cross sections that runners, gates and sprues are cut to. Pure geometry; the flow through a
// section is in solver/flow/section_flow.
#pragma once

#include <string>
#include <variant>
#include <vector>

#include "mesh/tri_mesh.hpp"

namespace firstshot {

struct RoundSection {
  double diameter = 0.0;  ///< [m] > 0
  bool operator==(const RoundSection&) const = default;
};
/// Half a circle cut into one mould half; the flat lies in the parting plane.
struct HalfRoundSection {
  double diameter = 0.0;  ///< [m] > 0
  bool operator==(const HalfRoundSection&) const = default;
};
/// Trapezoid with its wide side in the parting plane.
struct TrapezoidSection {
  double width = 0.0;  ///< at the wide side [m] > 0
  double depth = 0.0;  ///< [m] > 0
  double draft_deg =
      0.0;  ///< of each side from the draw direction [deg], 0 ≤ draft < atan(width/2/depth)
  bool operator==(const TrapezoidSection&) const = default;
};
struct RectangleSection {
  double width = 0.0;  ///< [m] > 0
  double depth = 0.0;  ///< [m] > 0
  bool operator==(const RectangleSection&) const = default;
};
using Section = std::variant<RoundSection, HalfRoundSection, TrapezoidSection, RectangleSection>;

double area(const Section& section);       ///< [m²]
double perimeter(const Section& section);  ///< wetted perimeter [m]
/// Hydraulic diameter 4 A / P [m].
double hydraulic_diameter(const Section& section);
/// Extent in the parting plane and along the draw [m].
double width(const Section& section);
double depth(const Section& section);
/// Section between a and b of the same kind: each measure mixed linearly, s = 0 gives a, s = 1
/// gives b. Throws Error when the kinds differ.
Section mix(const Section& a, const Section& b, double s);
/// Outline as a closed polygon [m], counter-clockwise; a full circle is drawn with n_arc corners.
std::vector<Point> outline(const Section& section, int n_arc);
/// Plain name for tables: "round", "half_round", "trapezoid", "rectangle".
std::string kind_name(const Section& section);

}  // namespace firstshot
