// Any bytes as an STL file, binary or text. Allowed: our Error, or a surface whose corners are
// finite and exist, which the check of a solid takes or refuses by an Error of its own.
#include <cstddef>
#include <cstdint>
#include <sstream>
#include <string>

#include "io/stl_reader.hpp"
#include "mesh/error.hpp"
#include "mesh/solid/check_shell.hpp"
#include "tests/fuzz/surface_checks.hpp"

using namespace firstshot;

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
