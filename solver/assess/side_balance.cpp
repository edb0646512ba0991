#include "solver/assess/side_balance.hpp"

#include <algorithm>
#include <cmath>

#include "solver/material/tait.hpp"

namespace firstshot {
namespace {

constexpr double on_one_side = 0.9;      // of a part's volume
constexpr double together = 0.01;        // of the time: full at the same moment
constexpr double window_of_time = 0.05;  // of the time until the first side is full

/// A piece of a part: share of a triangle that belongs to one of its corners.
struct Piece {
  std::size_t region, node;
  double volume;
  Point at;
};

std::vector<Piece> pieces_of_parts(const Model& model) {
  std::vector<Piece> pieces;
  for (std::size_t i = 0; i < model.mesh.triangles.size(); ++i) {
    const auto t = make_id<TriId>(i);
    const auto region = static_cast<std::size_t>(model.mesh.region[t]);
    if (model.regions[region].role != Role::part) continue;
    const auto areas = lifted_corner_areas(model.mesh, t);
    for (std::size_t c = 0; c < 3; ++c) {
      const VertexId v = model.mesh.triangles[t][c];
      pieces.push_back({region, index(model.node_of_vertex[v]), areas[c] * model.thickness[t],
                        model.mesh.points[v]});
    }
  }
  return pieces;
}

/// Below (true) or above the injection point along x or y, per region; -1 = on neither side.
std::vector<int> side_of_regions(const Model& model, const std::vector<Piece>& pieces,
                                 bool along_x) {
  const Point3& centre = model.position[model.injection];
  std::vector<double> low(model.regions.size(), 0.0), all(model.regions.size(), 0.0);
  for (const Piece& p : pieces) {
    all[p.region] += p.volume;
    if (along_x ? p.at.x < centre.x : p.at.y < centre.y) low[p.region] += p.volume;
  }
  std::vector<int> side(model.regions.size(), -1);
  for (std::size_t r = 0; r < side.size(); ++r) {
    if (!(all[r] > 0.0)) continue;
    if (low[r] >= on_one_side * all[r]) side[r] = 0;
    if (low[r] <= (1.0 - on_one_side) * all[r]) side[r] = 1;
  }
  return side;
}

/// Melt in the pieces of one side at a time [m³].
double melt_at(const std::vector<Piece>& pieces, const std::vector<int>& side, int which,
               const State& state, double time) {
  double sum = 0.0;
  for (const Piece& p : pieces) {
    if (side[p.region] != which) continue;
    const double half = state.arrival.vector()[p.node], full = state.full.vector()[p.node];
    if (half < 0.0) continue;
    const double rest = full > half ? full - half : 0.0;  // from half to full
    const double share = rest > 0.0 ? 0.5 + 0.5 * (time - half) / rest : (time >= half ? 1.0 : 0.0);
    sum += p.volume * std::clamp(share, 0.0, 1.0);
  }
  return sum;
}

double pressure_at(const std::vector<HistoryEntry>& history, double time) {
  double before_time = 0.0, before = 0.0;
  for (const HistoryEntry& h : history) {
    if (h.time >= time) {
      const double s = h.time > before_time ? (time - before_time) / (h.time - before_time) : 1.0;
      return before + s * (h.injection_pressure - before);
    }
    before_time = h.time;
    before = h.injection_pressure;
  }
  return before;
}

/// Time when a side was full, -1 when it never is or has no part.
double side_full(const std::vector<Piece>& pieces, const std::vector<int>& side, int which,
                 const State& state) {
  double last = -1.0;
  for (const Piece& p : pieces) {
    if (side[p.region] != which) continue;
    const double full = state.full.vector()[p.node];
    if (full < 0.0) return -1.0;
    last = std::max(last, full);
  }
  return last;
}

}  // namespace

std::vector<SideChange> side_changes(const Setup& setup, const State& state,
                                     const std::vector<HistoryEntry>& history) {
  std::vector<SideChange> changes;
  const std::vector<Piece> pieces = pieces_of_parts(setup.model);
  for (const bool along_x : {true, false}) {
    const std::vector<int> side = side_of_regions(setup.model, pieces, along_x);
    const double low = side_full(pieces, side, 0, state), high = side_full(pieces, side, 1, state);
    if (low < 0.0 || high < 0.0 || history.empty()) continue;
    const double early = std::min(low, high), late = std::max(low, high);
    if (late - early <= together * late) continue;
    SideChange c;
    const bool low_first = low < high;
    const Side sides[2] = {along_x ? Side::left : Side::bottom, along_x ? Side::right : Side::top};
    c.first = sides[low_first ? 0 : 1];
    c.second = sides[low_first ? 1 : 0];
    c.time = early;
    c.window = std::min(window_of_time * early, late - early);
    c.pressure_before = pressure_at(history, early - c.window);
    c.pressure_after = pressure_at(history, early + c.window);
    const int other = low_first ? 1 : 0;
    const double now = melt_at(pieces, side, other, state, early);
    c.flow_before = (now - melt_at(pieces, side, other, state, early - c.window)) / c.window;
    c.flow_after = (melt_at(pieces, side, other, state, early + c.window) - now) / c.window;
    changes.push_back(c);
  }
  return changes;
}

std::vector<PartPacking> part_packing(const Setup& setup, const State& state) {
  const Model& model = setup.model;
  std::vector<double> volume(model.regions.size(), 0.0), pressure(volume), extra(volume);
  const double T = setup.process.melt_temperature;
  const double loose = specific_volume(setup.material.pvt, T, 0.0);
  for (const Piece& p : pieces_of_parts(model)) {
    const double here = std::max(0.0, state.peak_field.vector()[p.node]);
    volume[p.region] += p.volume;
    pressure[p.region] += p.volume * here;
    extra[p.region] += p.volume * (loose / specific_volume(setup.material.pvt, T, here) - 1.0);
  }
  std::vector<PartPacking> packing;
  for (std::size_t r = 0; r < model.regions.size(); ++r)
    if (model.regions[r].role == Role::part && volume[r] > 0.0)
      packing.push_back(
          {static_cast<std::int32_t>(r), pressure[r] / volume[r], extra[r] / volume[r]});
  return packing;
}

}  // namespace firstshot
