#include "mesh/solid/gate_lines.hpp"

#include <algorithm>
#include <cmath>

#include "mesh/solid/gate_shape.hpp"
#include "mesh/solid/solid_borders.hpp"

namespace firstshot {
namespace {

/// An end of a cut this near to a corner of the outline, where runner or part begins, goes there;
/// in widths.
constexpr double snap_share = 0.2;
/// Middles of the cuts of a gate are at least this many widths apart.
constexpr double least_length_share = 0.05;
/// A gate's section grows by no more than this; gates end where it is 1.3.
constexpr double most_growth = 1.4;

Point middle_of(const Cut& cut) { return between(cut[0], cut[1], 0.5); }

bool apart(const Cut& a, const Cut& b) {
  for (const Point p : a)
    for (const Point q : b)
      if (p == q) return false;
  const auto crosses = [](const Cut& line, const Cut& other) {
    const Point along = line[1] - line[0];
    return (cross(along, other[0] - line[0]) > 0.0) != (cross(along, other[1] - line[0]) > 0.0);
  };
  if (crosses(a, b) || crosses(b, a)) return false;
  return distance(middle_of(a), middle_of(b)) > least_length_share * distance(a[0], a[1]);
}

Mouth mouth_at(const Cut& cut, std::int32_t region, int n) {
  Mouth mouth;
  mouth.centre = middle_of(cut);
  mouth.sides = {{cut[0], cut[1]}};
  mouth.size = distance(cut[0], cut[1]) / n;
  mouth.area = region;
  return mouth;
}

/// Sections of a gate in the middle of each of its elements: at its ends the cut lies on a step.
struct Sections {
  Section narrowest;
  std::vector<Section> of;     ///< all of the narrowest one's kind
  std::vector<double> height;  ///< of the middle of the melt [m]
};

Sections measured(const RoleInput& in, const OpenGate& open, const GateFound& gate, std::size_t n) {
  const Point from = middle_of(open.start), to = middle_of(open.end);
  const Point across = (1.0 / distance(from, to)) * turned_left(to - from);
  std::vector<SectionAcross> at;
  SectionAcross narrowest;
  for (std::size_t k = 0; k < n; ++k) {
    const double share = (static_cast<double>(k) + 0.5) / static_cast<double>(n);
    SectionAcross s = section_across(in, between(from, to, share), across);
    if (!(s.area() > 0.0)) s = {{}, gate.width, gate.depth, gate.depth, 0.0};
    if (k == 0 || s.area() < narrowest.area()) narrowest = s;
    at.push_back(s);
  }
  if (distance(narrowest.cut[0], narrowest.cut[1]) > 0.0)
    narrowest.perimeter = wetted_perimeter(in.columns, narrowest.cut);
  Sections sections;
  sections.narrowest = alike_section(narrowest, narrowest);
  for (SectionAcross& s : at) {
    // Where the rim of a rounded part bulges over the cut, the line across runs into the part.
    if (s.area() > most_growth * narrowest.area()) s = narrowest;
    sections.of.push_back(alike_section(narrowest, s));
    sections.height.push_back(s.height);
  }
  return sections;
}

}  // namespace

std::vector<OpenGate> cut_gates(std::vector<PlanLoop>& loops, const Roles& roles,
                                std::vector<Cut>& cuts) {
  std::vector<OpenGate> open;
  for (std::size_t i = 0; i < roles.gates.size(); ++i) {
    const GateShape& gate = roles.gates[i];
    const double snap = snap_share * gate.size.width;
    const std::size_t first = cuts.size();
    add_cut(loops, gate.start, snap, cuts);
    if (!gate.long_enough) continue;
    std::vector<PlanLoop> with_end = loops;
    add_cut(with_end, gate.end, snap, cuts);
    if (cuts.size() == first + 2 && apart(cuts[first], cuts[first + 1])) {
      open.push_back({i, cuts[first], cuts[first + 1]});
      loops = std::move(with_end);
    } else {
      cuts.resize(std::min(cuts.size(), first + 1));
    }
  }
  return open;
}

void add_gate_mouths(const std::vector<OpenGate>& open, const Roles& roles, int across_gate,
                     Joints& joints, Layout& names) {
  const auto add = [&](const Cut& cut, std::int32_t region) {
    joints.mouths.push_back(mouth_at(cut, region, across_gate));
    return GateEnd{joints.mouths.back().centre, static_cast<int>(joints.mouths.size()) - 1};
  };
  for (const OpenGate& o : open) {
    const GateFound& size = roles.gates[o.gate].size;
    joints.gate_from.push_back(add(o.start, size.region));
    joints.gate_to.push_back(add(o.end, size.part));
    names.gates.push_back(
        {size.name, middle_of(o.start), middle_of(o.end), size.width, size.depth, {}});
  }
}

void lay_gate_sections(const RoleInput& in, const std::vector<OpenGate>& open, Model& model,
                       std::vector<GateFound>& found) {
  for (std::size_t g = 0; g < open.size(); ++g) {
    std::vector<LineElement*> elements;
    for (LineElement& line : model.lines.span())
      if (line.channel == static_cast<std::int32_t>(g)) elements.push_back(&line);
    GateFound& gate = found[open[g].gate];
    const Sections sections = measured(in, open[g], gate, elements.size());
    gate.length = 0.0;
    for (std::size_t k = 0; k < elements.size(); ++k) {
      LineElement& line = *elements[k];
      const std::size_t before = k > 0 ? k - 1 : 0, after = std::min(k + 1, elements.size() - 1);
      line.start = mix(sections.of[before], sections.of[k], 0.5);
      line.end = mix(sections.of[k], sections.of[after], 0.5);
      const double climb = after > before ? (sections.height[after] - sections.height[before]) /
                                                static_cast<double>(after - before)
                                          : 0.0;
      line.length = std::hypot(line.length, climb);
      gate.length += line.length;
    }
    gate.width = width(sections.narrowest);
    gate.depth = depth(sections.narrowest);
  }
}

}  // namespace firstshot
