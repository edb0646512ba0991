// Checks of a layout's values, one entry at a time, before any meshing: numbers that are finite and
// positive, names that differ, lines that have a length. How entries lie to each other is checked
// where they are joined (borders, joints, direct).
#pragma once

#include <string>

#include "mesh/layout.hpp"

namespace firstshot {

/// Two places closer than this are one place where channels meet, and a gate's end this close to a
/// rim lies on it [m]. Drawings are rounded to hundredths of a millimetre; no cutter makes a
/// channel this short.
inline constexpr double joint_tolerance = 0.05e-3;

/// How an entry is called in messages: its place in the file, its role and name.
std::string entry_name(const Area& area);
std::string entry_name(const RunnerLine& runner);
std::string entry_name(const GateLine& gate);
std::string entry_name(const Sprue& sprue);

/// A length as it stands in messages: "0.25 mm".
std::string in_mm(double length);

/// A place as it stands in messages: "(12.5, -3) mm".
std::string place_text(Point p);

/// Some point of the shape, to say where it is [m].
Point place_of(const Shape& shape);

/// @throws GeometryError for the first entry with a value out of range.
void check_layout(const Layout& layout);

}  // namespace firstshot
