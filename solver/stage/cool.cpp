#include "solver/stage/cool.hpp"

#include <algorithm>
#include <limits>

#include "solver/numeric/parallel.hpp"

namespace firstshot {

namespace {
constexpr std::size_t small_cooling_loop = 100;  // a column takes about 0.1 ms
}

CoolingWalls cooling_walls(const Setup& setup) {
  return {setup.process.mould_temperature_fixed, setup.process.mould_temperature_moving,
          setup.process.contact_conductance,
          std::min(setup.cooling.detached_conductance, setup.process.contact_conductance)};
}

std::vector<std::uint8_t> nodes_of_parts(const Model& model) {
  std::vector<std::uint8_t> of_part(model.n_nodes(), 0);
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    if (model.regions[static_cast<std::size_t>(model.mesh.region[id])].role != Role::part) continue;
    for (const VertexId v : model.mesh.triangles[id]) of_part[index(model.node_of_vertex[v])] = 1;
  }
  return of_part;
}

Cool::Cool(const Setup& setup, const ControlVolumes& volumes, const GapGrid& grid,
           const CoolingWalls& walls)
    : setup_(setup),
      volumes_(volumes),
      grid_(grid),
      walls_(walls),
      enthalpy_(setup.material.heat_capacity),
      of_part_(nodes_of_parts(setup.model)) {}

CoolState Cool::begin(const CoolStart& start) const {
  const std::size_t n = volumes_.n_nodes();
  const auto columns = static_cast<std::size_t>(grid_.columns());
  CoolState state;
  state.temperature.assign(start.temperature.begin(), start.temperature.end());
  state.time = start.time;
  state.ejectable = NodeField<double>(n, -1.0);
  state.detached = NodeField<double>(n, -1.0);
  state.node_time = NodeField<double>(n, start.time);
  state.heat_fixed.assign(n, 0.0);
  state.heat_moving.assign(n, 0.0);
  state.sealed_volume.assign(n, 0.0);
  state.density.assign(n, setup_.material.density_melt);
  if (!start.let_go.empty())
    state.detached.vector().assign(start.let_go.begin(), start.let_go.end());
  if (!start.ejectable.empty())
    state.ejectable.vector().assign(start.ejectable.begin(), start.ejectable.end());
  for (std::size_t i = 0; i < start.mass.size(); ++i)
    state.density[i] = start.mass[i] / volumes_.volume[i];
  for (std::size_t i = 0; i < n; ++i) {
    if (!(start.fill[i] > 0.0)) continue;
    double volume = 0.0;
    for (std::size_t c = 0; c < columns; ++c)
      volume += grid_.share(static_cast<int>(c), volumes_.round[i] != 0) *
                specific_volume(setup_.material.pvt, start.temperature[i * columns + c],
                                std::max(start.pressure[i], 0.0));
    state.sealed_volume[i] = volume;
  }
  return state;
}

void Cool::until_ejectable(CoolState& state) const {
  advance(state, std::numeric_limits<double>::infinity());
}

void Cool::go_on(CoolState& state, double end) const {
  advance(state, end);
  state.time = end;
}

void Cool::advance(CoolState& state, double end) const {
  const auto columns = static_cast<std::size_t>(grid_.columns());
  parallel_chunks(
      volumes_.n_nodes(),
      [&](std::size_t from, std::size_t to) {
        CoolingColumn column(grid_, setup_.material, enthalpy_, walls_);
        for (std::size_t i = from; i < to; ++i) {
          const NodeId node = make_id<NodeId>(i);
          if (!(state.sealed_volume[i] > 0.0) || state.node_time[node] >= end) continue;
          const CoolingPlace place{volumes_.half_gap[i],   volumes_.round[i] != 0,
                                   state.sealed_volume[i], state.detached[node] >= 0.0,
                                   state.density[i],       volumes_.contact[i]};
          const EjectionLimit& limit =
              of_part_[i] != 0 ? setup_.cooling.parts : setup_.cooling.runners;
          const std::span<double> T = std::span(state.temperature).subspan(i * columns, columns);
          const CooledColumn done = column.cool(place, limit, state.node_time[node], end, T);
          state.node_time[node] = done.time;
          if (state.ejectable[node] < 0.0) state.ejectable[node] = done.ejectable;
          if (state.detached[node] < 0.0) state.detached[node] = done.detached;
          state.heat_fixed[i] += done.heat_fixed * volumes_.volume[i];
          state.heat_moving[i] += done.heat_moving * volumes_.volume[i];
        }
      },
      small_cooling_loop);
}

}  // namespace firstshot
