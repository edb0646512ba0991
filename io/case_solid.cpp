// The solid that a case names: its file, how to look at it, which part is what.
#include <memory>
#include <utility>

#include "io/case.hpp"
#include "io/case_table.hpp"
#include "io/solid_file.hpp"

namespace firstshot {
namespace {

namespace fs = std::filesystem;

// A file that cannot be read is a fault of the key that names it.
std::shared_ptr<const SolidFile> open_solid(const CaseTable& geometry, const fs::path& file,
                                            const SolidFileOptions& options) {
  try {
    return std::make_shared<const SolidFile>(read_solid_file(file, options));
  } catch (const CaseError&) {
    throw;
  } catch (const Error& e) {
    throw geometry.error("solid", e.what());
  }
}

Point as_written(const CaseTable& table, const std::string& key) {
  const auto& items = table.node(key)->items;  // two numbers: CaseTable::point has looked at them
  return {items.at(0).number, items.at(1).number};
}

}  // namespace

CaseSolid read_case_solid(const CaseTable& root, const std::function<void(double)>& progress) {
  const CaseTable geometry = root.table("geometry");
  CaseSolid solid;
  solid.draw = geometry.direction_if("draw");
  solid.undercut_tolerance = geometry.quantity("undercut_tolerance");
  solid.tessellation = geometry.quantity("tessellation");
  SolidFileOptions options;
  if (geometry.has("unit")) options.unit = geometry.word("unit");
  options.step_tolerance = solid.tessellation;
  options.progress = progress;
  solid.file = (geometry.file().directory() / fs::path(geometry.text("solid"))).lexically_normal();
  solid.read = open_solid(geometry, solid.file, options);
  solid.parts = read_part_marks(root, solid.read->unit);
  const CaseTable injection = root.table("injection");
  for (const CaseTable& part : root.tables("part"))
    solid.parts_written.push_back(as_written(part, "inside"));
  if (injection.has("at")) {
    solid.injection = injection.point("at", solid.read->unit);
    solid.injection_written = as_written(injection, "at");
  }
  solid.injection_diameter = injection.quantity_if("diameter").value_or(0.0);
  solid.injection_width = injection.quantity_if("width").value_or(0.0);
  if (!solid.injection && injection.has("width"))
    throw injection.error("width", "needs injection.at, the middle of that length of rim");
  return solid;
}

}  // namespace firstshot
