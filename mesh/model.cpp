#include "mesh/model.hpp"

#include <numbers>

namespace firstshot {

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
