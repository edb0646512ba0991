#include "mesh/model.hpp"

#include <numbers>

namespace firstshot {
namespace {

Section scaled(const Section& section, double factor) {
  struct Scale {
    double by;
    Section operator()(const RoundSection& s) const { return RoundSection{by * s.diameter}; }
    Section operator()(const HalfRoundSection& s) const {
      return HalfRoundSection{by * s.diameter};
    }
    Section operator()(const TrapezoidSection& s) const {
      return TrapezoidSection{by * s.width, by * s.depth, s.draft_deg};
    }
    Section operator()(const RectangleSection& s) const {
      return RectangleSection{by * s.width, by * s.depth};
    }
  };
  return std::visit(Scale{factor}, section);
}

}  // namespace

void scale(Model& model, double factor) {
  const auto all = [&](std::vector<double>& lengths) {
    for (double& length : lengths) length *= factor;
  };
  for (Point& p : model.mesh.points.vector()) p = {factor * p.x, factor * p.y};
  for (Point3& p : model.position.vector()) p = {factor * p.x, factor * p.y, factor * p.z};
  all(model.thickness.vector());
  all(model.lower.vector());
  all(model.upper.vector());
  for (Relief& relief : model.relief.vector()) {
    for (double& chord : relief.chord) chord *= factor;
    for (double& middle : relief.middle) middle *= factor;
  }
  for (LineElement& line : model.lines.vector()) {
    line.length *= factor;
    line.entrance_radius *= factor;
    line.start = scaled(line.start, factor);
    line.end = scaled(line.end, factor);
  }
}

double volume(const LineElement& line) {
  const double middle = area(mix(line.start, line.end, 0.5));
  return line.length / 6.0 * (area(line.start) + 4.0 * middle + area(line.end));
}

std::vector<double> region_volumes(const Model& model) {
  std::vector<double> volumes(model.regions.size(), 0.0);
  for (std::size_t i = 0; i < model.mesh.triangles.size(); ++i) {
    const TriId t = make_id<TriId>(i);
    volumes[model.mesh.region[t]] += lifted_area(model.mesh, t) * model.thickness[t];
  }
  return volumes;
}

std::vector<double> channel_volumes(const Model& model) {
  std::vector<double> volumes(model.channels.size(), 0.0);
  for (const LineElement& line : model.lines.span()) volumes[line.channel] += volume(line);
  return volumes;
}

double projected_area(const Model& model) {
  double sum = 0.0;
  for (std::size_t i = 0; i < model.mesh.triangles.size(); ++i) {
    sum += area(model.mesh, make_id<TriId>(i));
  }
  // Nodes of the mesh come first in the numbering; a foot that stands on triangles is already
  // counted.
  std::int32_t last_mesh_node = -1;
  for (const NodeId node : model.node_of_vertex.span()) {
    last_mesh_node = std::max(last_mesh_node, static_cast<std::int32_t>(node));
  }
  for (const LineElement& line : model.lines.span()) {
    if (model.channels[line.channel].role != Role::sprue) {
      sum += 0.5 * (width(line.start) + width(line.end)) * line.length;
    } else if (model.position[line.to].z == 0.0 &&
               static_cast<std::int32_t>(line.to) > last_mesh_node) {
      sum += area(line.end);
    }
  }
  return sum;
}

}  // namespace firstshot
