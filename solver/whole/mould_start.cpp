#include "solver/whole/mould_start.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "mesh/error.hpp"
#include "solver/assess/cycle.hpp"
#include "solver/flow/section_flow.hpp"

namespace firstshot {
namespace {

constexpr double size_class = 0.05;     // columns are alike when their sizes differ by less [-]
constexpr double usual_pressure = 2e7;  // what a gap is sealed at [Pa], common practice, no source
constexpr int most_rounds = 60;
constexpr double close_enough = 1e-4;  // [K]

struct Kind {
  double volume = 0.0, sum = 0.0;  // [m³], volume × size
  bool round = false, part = false;
};

/// Slabs and rounds of about the same size, put together.
std::vector<Kind> kinds_of(const Model& model) {
  std::map<std::array<int, 3>, Kind> kinds;
  const auto add = [&](double size, double volume, bool round, bool part) {
    const int number = static_cast<int>(std::lround(std::log(size) / size_class));
    Kind& k = kinds[{round ? 1 : 0, part ? 1 : 0, number}];
    k.round = round;
    k.part = part;
    k.volume += volume;
    k.sum += volume * size;
  };
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    const auto region = static_cast<std::size_t>(model.mesh.region[id]);
    add(0.5 * model.thickness[id], lifted_area(model.mesh, id) * model.thickness[id], false,
        model.regions[region].role == Role::part);
  }
  SectionFlowTable table;
  for (const LineElement& line : model.lines.span()) {
    const SectionFlow middle(mix(line.start, line.end, 0.5), table);
    add(0.5 * middle.thermal_diameter(), volume(line), true, false);
  }
  std::vector<Kind> out;
  out.reserve(kinds.size());
  for (const auto& entry : kinds) out.push_back(entry.second);
  return out;
}

struct Round {
  double heat_fixed = 0.0, heat_moving = 0.0, cycle = 0.0;
};

/// One shot between walls of these temperatures.
Round one_shot(const Setup& setup, const std::vector<Kind>& kinds, const MouldSurfaces& at) {
  const GapGrid grid(setup.accuracy.layers, at.fixed != at.moving);
  const Enthalpy enthalpy(setup.material.heat_capacity);
  CoolingWalls walls = cooling_walls(setup);
  walls.fixed = at.fixed;
  walls.moving = at.moving;
  CoolingColumn column(grid, setup.material, enthalpy, walls);
  const double melt = setup.process.melt_temperature;
  const double sealed = specific_volume(setup.material.pvt, melt, usual_pressure);
  const auto cool = [&](const Kind& k, double end) {
    std::vector<double> temperature(static_cast<std::size_t>(grid.columns()), melt);
    const CoolingPlace place{k.sum / k.volume, k.round, sealed, false};
    const EjectionLimit& limit = k.part ? setup.cooling.parts : setup.cooling.runners;
    return column.cool(place, limit, 0.0, end, temperature);
  };
  double shot = 0.0, slowest = 0.0;
  for (const Kind& k : kinds) {
    shot += k.volume;
    slowest = std::max(slowest, cool(k, std::numeric_limits<double>::infinity()).ejectable);
  }
  double inject = setup.process.speed.empty() ? 0.0 : shot / setup.process.speed.front().flow_rate;
  for (const HoldingStep& step : setup.process.holding) inject += step.duration;
  const double recovery = shot * setup.material.density_melt / setup.press.plasticising_rate;
  const double opening = setup.cooling.time >= 0.0 ? inject + setup.cooling.time
                                                   : std::max(slowest, inject + recovery);
  Round r;
  r.cycle = opening + setup.press.dry_cycle + setup.cooling.eject_time;
  for (const Kind& k : kinds) {
    const CooledColumn done = cool(k, opening);
    r.heat_fixed += done.heat_fixed * k.volume;
    r.heat_moving += done.heat_moving * k.volume;
  }
  return r;
}

}  // namespace

MouldSurfaces mould_surfaces(const Setup& setup) {
  const std::vector<Kind> kinds = kinds_of(setup.model);
  const FrameRectangle frame = frame_rectangle(setup.model);
  const double plastic = projected_area(setup.model);
  const double coldest =
      std::min(setup.cooling.parts.temperature, setup.cooling.runners.temperature);
  const bool alike = setup.mould.fixed == setup.mould.moving;
  MouldSurfaces at{setup.mould.fixed->temperature, setup.mould.moving->temperature, 0.0};
  for (int k = 0; k < most_rounds; ++k) {
    const Round r = one_shot(setup, kinds, at);
    const auto surface = [&](const MouldChannels& bores, double heat) {
      return half_heat(setup.mould.metal, bores,
                       {heat, r.cycle, frame.length * frame.width, plastic})
          .surface;
    };
    MouldSurfaces next{surface(*setup.mould.fixed, r.heat_fixed),
                       surface(*setup.mould.moving, r.heat_moving), r.cycle};
    if (alike) next.fixed = next.moving = 0.5 * (next.fixed + next.moving);
    constexpr double least_margin = 1.0;  // below the ejection temperature [K]
    if (std::max(next.fixed, next.moving) > coldest - least_margin)
      throw Error(
          "the cooling channels let the mould become as hot as the ejection temperature; "
          "allowed: colder or more water, channels nearer to the face or to each other");
    const double change =
        std::max(std::abs(next.fixed - at.fixed), std::abs(next.moving - at.moving));
    at = next;
    if (change < close_enough) break;
  }
  return at;
}

}  // namespace firstshot
