#include "mesh/error.hpp"

#include <cstdio>

namespace firstshot {
namespace {

std::string with_place(const std::string& what, double x, double y) {
  constexpr double mm = 1e-3;
  char place[80];
  std::snprintf(place, sizeof place, " (at x = %.3f mm, y = %.3f mm)", x / mm, y / mm);
  return what + place;
}

}  // namespace

GeometryError::GeometryError(const std::string& what, double x, double y)
    : Error(with_place(what, x, y)), x_(x), y_(y) {}

}  // namespace firstshot
