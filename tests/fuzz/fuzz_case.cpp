// Any bytes as the text of a case. Allowed: our Error, or a case whose resolved text reads back to
// the same text.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <string>

#include "io/build_setup.hpp"
#include "io/case.hpp"
#include "io/resolved_case.hpp"

namespace {

using namespace firstshot;

// A folder that does not exist, so that no text can make the reader open a layout file that happens
// to lie around.
const std::filesystem::path kNowhere = "/nonexistent/folder";

// What build_setup fills in, without meshing and cards.
BuiltSetup filled_in(const Case& c) {
  BuiltSetup built;
  built.resolved = c;
  built.resolved.accuracy = resolved_accuracy(c.accuracy);
  const Press p = press_of(c.press, Press{});
  built.resolved.press = {c.press.card,      p.name,        p.screw_diameter,
                          p.stroke_max,      p.speed_max,   p.melt_pressure_max,
                          p.intensification, p.clamp_force, p.nozzle_volume};
  built.resolved.process.injection_pressure_max =
      c.process.injection_pressure_max.value_or(p.melt_pressure_max);
  return built;
}

void check_resolved(const Case& c) {
  const std::string once = resolved_case_text(filled_in(c));
  try {
    const Case again = read_case_text(once, kResolvedCaseName, kNowhere);
    const std::string twice = resolved_case_text(filled_in(again));
    if (twice == once) return;
    std::cerr << "the resolved case changes when it is read:\n" << once << "\n---\n" << twice;
  } catch (const Error& e) {
    std::cerr << "the resolved case is refused: " << e.what() << "\n" << once;
  }
  std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text(reinterpret_cast<const char*>(data), size);
  Case c;
  try {
    c = read_case_text(text, "case.toml", kNowhere);
  } catch (const Error&) {
    return 0;
  }
  check_resolved(c);
  return 0;
}
