// Any bytes as a STEP file. What OpenCASCADE itself does with them is its own affair; the frame
// around it is ours: what is plainly no STEP file never reaches it, and what comes back is our
// Error, or a surface whose corners are finite and exist.
#include <cstddef>
#include <cstdint>
#include <sstream>
#include <string>

#include "io/step_reader.hpp"
#include "mesh/error.hpp"
#include "tests/fuzz/surface_checks.hpp"

using namespace firstshot;

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
