#include "solver/stage/front_record.hpp"

#include <cmath>

namespace firstshot {
namespace {

/// Origin and direction of the melt in a control volume: flows along its edges, each times its
/// length, add up to a vector along the flow.
void note_arrival(const ControlVolumes& volumes, const NodeField<Point3>& position,
                  std::span<const double> flux, std::size_t node, FrontRecord& record) {
  const Point3& here = position.vector()[node];
  double x = 0.0, y = 0.0, most = 0.0;
  for (const Neighbour& n : volumes.around(node)) {
    const Point3& there = position.vector()[static_cast<std::size_t>(n.node)];
    const double out = n.sign * flux[static_cast<std::size_t>(n.edge)];
    x += out * (there.x - here.x);
    y += out * (there.y - here.y);
    if (-out > most) {
      most = -out;
      record.origin[node] = n.node;
    }
  }
  const double length = std::hypot(x, y);
  if (!(length > 0.0)) return;
  record.way_x[node] = x / length;
  record.way_y[node] = y / length;
}

}  // namespace

FrontRecord no_front(std::size_t n_nodes) {
  FrontRecord r;
  r.origin.assign(n_nodes, -1.0);
  r.way_x.assign(n_nodes, 0.0);
  r.way_y.assign(n_nodes, 0.0);
  r.temperature.assign(n_nodes, 0.0);
  r.pressure.assign(n_nodes, 0.0);
  return r;
}

void note_front(const ControlVolumes& volumes, const NodeField<Point3>& position,
                const GapGrid& grid, const FrontStep& step, FrontRecord& record) {
  constexpr double half = 0.5;
  const auto columns = static_cast<std::size_t>(grid.columns());
  for (std::size_t i = 0; i < step.fill_after.size(); ++i) {
    const double before = step.fill_before[i], after = step.fill_after[i];
    if (before < half && after >= half && record.origin[i] < 0.0)
      note_arrival(volumes, position, step.flux, i, record);
    if (!(before < 1.0 && after >= 1.0) || record.temperature[i] > 0.0) continue;
    double mean = 0.0;
    for (std::size_t c = 0; c < columns; ++c)
      mean += grid.share(static_cast<int>(c), volumes.round[i] != 0) *
              step.temperature[i * columns + c];
    record.temperature[i] = mean;
    record.pressure[i] = step.pressure[i];
  }
}

}  // namespace firstshot
