#include "io/section_columns.hpp"

#include <cmath>
#include <numbers>

namespace firstshot {
namespace {

struct Row {
  double width = 0.0, depth = 0.0, draft = 0.0;
};

struct ToRow {
  Row operator()(const RoundSection& s) const { return {s.diameter, s.diameter, 0.0}; }
  Row operator()(const HalfRoundSection& s) const { return {s.diameter, s.diameter / 2, 0.0}; }
  Row operator()(const TrapezoidSection& s) const { return {s.width, s.depth, s.draft_deg}; }
  Row operator()(const RectangleSection& s) const { return {s.width, s.depth, 0.0}; }
};

}  // namespace

SectionColumns section_columns(const LineField<LineElement>& lines, bool at_start) {
  SectionColumns out;
  for (const LineElement& line : lines.span()) {
    const Section& section = at_start ? line.start : line.end;
    const Row row = std::visit(ToRow{}, section);
    out.kind.push_back(static_cast<std::int32_t>(section.index()));
    out.width.push_back(row.width);
    out.depth.push_back(row.depth);
    out.draft.push_back(row.draft);
  }
  return out;
}

std::optional<Section> section_from_columns(const SectionColumns& columns, std::size_t i) {
  const double width = columns.width.at(i);
  const double depth = columns.depth.at(i);
  switch (columns.kind.at(i)) {
    case 0:
      return RoundSection{width};
    case 1:
      return HalfRoundSection{width};
    case 2:
      return TrapezoidSection{width, depth, columns.draft.at(i)};
    case 3:
      return RectangleSection{width, depth};
    default:
      return std::nullopt;
  }
}

double equal_area_radius(const Section& section) {
  return std::sqrt(area(section) / std::numbers::pi);
}

}  // namespace firstshot
