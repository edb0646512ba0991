// What a reader of solids may hand on, whatever bytes it was given.
#pragma once

#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <iostream>

#include "mesh/solid/shell.hpp"

namespace firstshot {

inline void require(bool good, const char* what) {
  if (good) return;
  std::cerr << what << "\n";
  std::abort();
}

inline void check_surface(const Shell& shell) {
  require(!shell.triangles.empty(), "a surface without triangles was let pass");
  for (const Point3& p : shell.points)
    require(std::isfinite(p.x) && std::isfinite(p.y) && std::isfinite(p.z),
            "a corner is not finite");
  const auto n = static_cast<std::int32_t>(shell.points.size());
  for (const auto& t : shell.triangles)
    for (const std::int32_t i : t) require(i >= 0 && i < n, "a corner does not exist");
}

}  // namespace firstshot
