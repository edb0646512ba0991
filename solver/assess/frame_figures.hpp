// What a frame is made of, before anything flows: volumes, weights and their balance about the
// injection point, projected area, and the figures of its mesh. Geometry and one density only.
#pragma once

#include <string>
#include <vector>

#include "mesh/model.hpp"

namespace firstshot {

struct PartFigures {
  std::string name;
  double volume = 0.0;         ///< [m³]
  double mass = 0.0;           ///< of melt at filling density [kg]
  double area = 0.0;           ///< seen along the draw [m²]
  double thickness_min = 0.0;  ///< [m]
  double thickness_max = 0.0;  ///< [m]
  Point centre;                ///< of its volume [m]
};
struct ChannelFigures {
  std::string name;
  Role role = Role::runner;
  std::string feeds;        ///< part at the mouth of a gate, empty where there is none
  Section start, end;       ///< at the end towards the injection point and at the other one
  double length = 0.0;      ///< [m]
  double volume = 0.0;      ///< [m³]
  int elements_across = 0;  ///< sides of triangles along a gate's mouth, 0 for other channels
};
struct FrameFigures {
  std::vector<PartFigures> parts;        ///< regions with role part, in the order of the model
  std::vector<ChannelFigures> channels;  ///< in the order of the model
  double volume = 0.0;                   ///< of the whole shot [m³]
  double mass = 0.0;                     ///< of the whole shot [kg]
  double runner_share = 0.0;             ///< everything that is no part / whole shot [-]
  double projected_area = 0.0;           ///< [m²]
  /// Weight on each side of the lines x = x₀ and y = y₀ through the injection point [kg].
  double mass_left = 0.0, mass_right = 0.0, mass_bottom = 0.0, mass_top = 0.0;
  MeshQuality mesh;
};

/// @param density of the melt [kg/m³] > 0
FrameFigures frame_figures(const Model& model, double density);

/// Share of a triangle's area [-] that lies where x < x0; for y, swap the coordinates of its
/// corners.
double share_below(const Point& a, const Point& b, const Point& c, double x0);

}  // namespace firstshot
