// Any bytes as a STEP file. What OpenCASCADE itself does with them is its own affair; the frame
// around it is ours: what is plainly no STEP file never reaches it, and what comes back is our
// Error, or a surface whose corners are finite and exist.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <iostream>
#include <sstream>
#include <string>

#include "io/step_reader.hpp"
#include "mesh/error.hpp"

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
    constexpr double tolerance = 0.05e-3;  // [m]
    constexpr unsigned longest = 5;        // [s]
    check_surface(read_step(in, "frame.step", tolerance, longest).shell);
  } catch (const Error&) {
    return 0;
  }
  return 0;
}
