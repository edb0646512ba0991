#include "solver/assess/scorch_ranking.hpp"

#include <algorithm>
#include <map>

#include "mesh/rim.hpp"
#include "solver/flow/air_outlets.hpp"
#include "solver/flow/pin_gaps.hpp"

namespace firstshot {
namespace {

class Ranking {
 public:
  Ranking(const Setup& setup, const State& state)
      : model_(setup.model),
        energy_(state.air.exit_energy.vector()),
        length_(shut_off_length(setup)),
        taken_(model_.n_nodes(), false) {}

  /// Adds a node to the stretch under way; one that stands in another stretch is passed over.
  void add(std::size_t node) {
    if (taken_[node]) return;
    taken_[node] = true;
    if (energy_[node] > most_) {
      most_ = energy_[node];
      const Point3& p = model_.position[make_id<NodeId>(node)];
      now_.at = {p.x, p.y};
    }
    now_.energy += energy_[node];
    now_.length += length_[node];
  }
  bool is_long_enough() const { return now_.length >= stretch_length; }
  void end(const std::string& place) {
    now_.place = place;
    if (now_.energy > 0.0 && now_.length > 0.0) all_.push_back(now_);
    now_ = {};
    most_ = 0.0;
  }
  std::vector<ShutOffStretch> sorted() {
    double sum = 0.0;
    for (const ShutOffStretch& s : all_) sum += s.energy;
    for (ShutOffStretch& s : all_) {
      s.per_length = s.energy / s.length;
      s.share = s.energy / sum;
    }
    std::stable_sort(all_.begin(), all_.end(),
                     [](const auto& a, const auto& b) { return a.per_length > b.per_length; });
    return all_;
  }

 private:
  const Model& model_;
  const std::vector<double>& energy_;
  std::vector<double> length_;
  std::vector<bool> taken_;
  std::vector<ShutOffStretch> all_;
  ShutOffStretch now_;
  double most_ = 0.0;
};

/// Name of a region at each vertex of the mesh.
std::vector<std::int32_t> region_of_vertex(const Model& model) {
  std::vector<std::int32_t> region(model.mesh.points.size(), 0);
  for (std::size_t i = 0; i < model.mesh.triangles.size(); ++i)
    for (const VertexId v : model.mesh.triangles[make_id<TriId>(i)])
      region[index(v)] = model.mesh.region[make_id<TriId>(i)];
  return region;
}

}  // namespace

std::vector<ShutOffStretch> scorch_ranking(const Setup& setup, const State& state) {
  const Model& model = setup.model;
  if (state.air.exit_energy.size() != model.n_nodes()) return {};
  Ranking ranking(setup, state);
  for (const EjectorPin& pin : setup.ejectors) {
    for (const PinArc& arc : pin_arcs(model, pin)) ranking.add(arc.node);
    ranking.end(pin.name);
  }
  const std::vector<std::int32_t> region = region_of_vertex(model);
  for (const RimLoop& loop : rim_loops(model.mesh)) {
    for (const VertexId v : loop.vertices) {
      ranking.add(index(model.node_of_vertex[v]));
      if (ranking.is_long_enough())
        ranking.end(model.regions[static_cast<std::size_t>(region[index(v)])].name);
    }
    const auto last = region[index(loop.vertices.back())];
    ranking.end(model.regions[static_cast<std::size_t>(last)].name);
  }
  for (std::size_t c = 0; c < model.channels.size(); ++c) {
    for (const LineElement& line : model.lines.span()) {
      if (static_cast<std::size_t>(line.channel) != c) continue;
      ranking.add(index(line.from));
      ranking.add(index(line.to));
      // Both sides of a channel count.
      if (ranking.is_long_enough()) ranking.end(model.channels[c].name);
    }
    ranking.end(model.channels[c].name);
  }
  return ranking.sorted();
}

}  // namespace firstshot
