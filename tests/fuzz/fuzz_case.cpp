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

// What build_setup makes of a case, without meshing and cards.
std::string text_of(const Case& c) {
  BuiltSetup built;
  built.resolved = filled_in(c, Cards{});
  return resolved_case_text(built);
}

void check_resolved(const Case& c) {
  const std::string once = text_of(c);
  try {
    const Case again = read_case_text(once, kResolvedCaseName, kNowhere);
    const std::string twice = text_of(again);
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
