#include "io/case_geometry.hpp"

#include <fmt/format.h>

#include "io/case.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

void refuse_solid_keys(const CaseTable& root) {
  const CaseTable geometry = root.table("geometry");
  for (const char* key : {"draw", "undercut_tolerance", "tessellation"}) {
    if (geometry.has(key)) throw geometry.error(key, "has a meaning only with geometry.solid");
  }
}

// A layout names its parts itself.
void refuse_part_marks(const CaseTable& root) {
  if (root.has("part")) {
    throw root.error("part",
                     "names parts that are found in a drawing or solid; the parts of a layout have "
                     "their names in the layout");
  }
}

void refuse_layers(const CaseTable& root) {
  const CaseTable geometry = root.table("geometry");
  if (root.has("layer")) throw root.error("layer", "has a meaning only with geometry.dxf");
  if (geometry.has("gap")) throw geometry.error("gap", "has a meaning only with geometry.dxf");
}

// The layout file; a file that cannot be opened is a fault of the key that names it.
TomlFile open_layout_file(const CaseTable& geometry) {
  const fs::path path =
      (geometry.file().directory() / fs::path(geometry.text("layout"))).lexically_normal();
  try {
    return TomlFile::read(path);
  } catch (const CaseError& e) {
    if (e.line() > 0) throw;
    throw geometry.error("layout", fmt::format("{} ({})", e.reason(), path.string()));
  }
}

}  // namespace

void require_one_geometry(const CaseTable& root) {
  const CaseTable geometry = root.table("geometry");
  const int given = (geometry.has("layout") ? 1 : 0) + (geometry.has("dxf") ? 1 : 0) +
                    (geometry.has("solid") ? 1 : 0) + (root.has("layout") ? 1 : 0);
  if (given == 1) {
    if (!geometry.has("dxf")) refuse_layers(root);
    if (!geometry.has("solid")) refuse_solid_keys(root);
    return;
  }
  throw root.error(
      root.has("layout") ? "layout" : "geometry",
      "give exactly one of geometry.layout (the name of a layout file), geometry.dxf (the name of "
      "a drawing), geometry.solid (the name of an STL or STEP file) and a table [layout]");
}

CaseGeometry read_geometry(const CaseTable& root) {
  const CaseTable geometry = root.table("geometry");
  if (geometry.has("dxf")) return read_drawing(root);
  refuse_part_marks(root);
  if (root.has("layout")) {
    const CaseTable table = root.table("layout");
    return {read_layout(table), table.word("unit"), {}};
  }
  const TomlFile file = open_layout_file(geometry);
  check_keys(file, file.root(), "layout", "");
  const CaseTable table(file, &file.root(), "layout", "");
  return {read_layout(table), table.word("unit"), {}};
}

}  // namespace firstshot
