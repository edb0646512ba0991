// Any bytes as an STL file, binary or text. Allowed: our Error, or a surface whose corners are
// finite and exist, which the check of a solid takes or refuses by an Error of its own.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <iostream>
#include <sstream>
#include <string>

#include "io/stl_reader.hpp"
#include "mesh/error.hpp"
#include "mesh/solid/check_shell.hpp"

using namespace firstshot;

namespace {

void require(bool good, const char* what) {
  if (good) return;
  std::cerr << what << "\n";
  std::abort();
}

void check_surface(const Shell& shell) {
  require(!shell.triangles.empty(), "a surface without triangles was let pass");
  for (const Point3& p : shell.points)
    require(std::isfinite(p.x) && std::isfinite(p.y) && std::isfinite(p.z),
            "a corner is not finite");
  const auto n = static_cast<std::int32_t>(shell.points.size());
  for (const auto& t : shell.triangles)
    for (const std::int32_t i : t) require(i >= 0 && i < n, "a corner does not exist");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  std::istringstream in(std::string(reinterpret_cast<const char*>(data), size));
  try {
    const StlSurface surface = read_stl(in, "frame.stl");
    check_surface(surface.shell);
    check_shell(surface.shell);
  } catch (const Error&) {
    return 0;
  }
  return 0;
}
