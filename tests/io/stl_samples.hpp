// Small STL files as bytes, and a box to put into them.
#pragma once

#include <array>
#include <cstdint>
#include <cstring>
#include <string>
#include <vector>

#include "mesh/solid/shell.hpp"

namespace firstshot {

/// Box from the origin, outside faces counter-clockwise.
inline Shell box_shell(double x, double y, double z) {
  Shell box;
  for (const double pz : {0.0, z})
    for (const double py : {0.0, y})
      for (const double px : {0.0, x}) box.points.push_back({px, py, pz});
  box.triangles = {{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4},
                   {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}};
  return box;
}

/// Six times the volume enclosed, by the divergence theorem, divided by six.
inline double enclosed_volume(const Shell& shell) {
  double sum = 0.0;
  for (const auto& t : shell.triangles) {
    const Point3 &a = shell.points[t[0]], &b = shell.points[t[1]], &c = shell.points[t[2]];
    sum += a.x * (b.y * c.z - b.z * c.y) + a.y * (b.z * c.x - b.x * c.z) +
           a.z * (b.x * c.y - b.y * c.x);
  }
  constexpr double six = 6.0;
  return sum / six;
}

inline std::string binary_stl(const Shell& shell, const std::string& title = "made by a test") {
  std::string bytes = title;
  bytes.resize(80);
  const auto put = [&](const auto& value) {
    bytes.append(reinterpret_cast<const char*>(&value), sizeof value);
  };
  put(static_cast<std::uint32_t>(shell.triangles.size()));
  for (const auto& t : shell.triangles) {
    put(std::array<float, 3>{});
    for (const std::int32_t i : t) {
      const Point3& p = shell.points[i];
      put(std::array<float, 3>{static_cast<float>(p.x), static_cast<float>(p.y),
                               static_cast<float>(p.z)});
    }
    put(std::uint16_t{0});
  }
  return bytes;
}

inline std::string text_stl(const Shell& shell, const std::string& name = "box") {
  std::string text = "solid " + name + "\n";
  for (const auto& t : shell.triangles) {
    text += "  facet normal 0 0 0\n    outer loop\n";
    for (const std::int32_t i : t) {
      const Point3& p = shell.points[i];
      text += "      vertex " + std::to_string(p.x) + " " + std::to_string(p.y) + " " +
              std::to_string(p.z) + "\n";
    }
    text += "    endloop\n  endfacet\n";
  }
  return text + "endsolid " + name + "\n";
}

}  // namespace firstshot
