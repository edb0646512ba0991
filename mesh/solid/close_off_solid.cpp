#include "mesh/solid/close_off_solid.hpp"

#include <algorithm>

#include "mesh/error.hpp"

namespace firstshot {
namespace {

using Flags = std::vector<std::uint8_t>;

/// Regions of a role with a name that the user has given.
void mark(const Model& model, Role role, const std::vector<std::string>& names, Flags& gone) {
  for (const std::string& name : names) {
    std::string known;
    bool found = false;
    for (std::size_t r = 0; r < model.regions.size(); ++r) {
      if (model.regions[r].role != role) continue;
      known += (known.empty() ? "" : ", ") + model.regions[r].name;
      if (model.regions[r].name != name) continue;
      gone[r] = 1;
      found = true;
    }
    if (found) continue;
    std::string text = role == Role::gate ? "there is no gate \"" : "there is no part \"";
    text += name;
    text += "\" in the solid; known: ";
    text += known;
    throw Error(text);
  }
}

/// Nodes that melt reaches through regions that stay.
Flags reached_nodes(const Model& model, const Flags& gone) {
  Flags seen(model.n_nodes(), 0);
  seen[index(model.injection)] = 1;
  for (bool more = true; more;) {
    more = false;
    const auto join = [&](std::initializer_list<NodeId> nodes) {
      const auto is_seen = [&](NodeId n) { return seen[index(n)] != 0; };
      if (!std::any_of(nodes.begin(), nodes.end(), is_seen)) return;
      for (const NodeId n : nodes)
        if (!is_seen(n)) {
          seen[index(n)] = 1;
          more = true;
        }
    };
    for (const LineElement& line : model.lines.span()) join({line.from, line.to});
    for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
      const auto id = make_id<TriId>(t);
      if (gone[static_cast<std::size_t>(model.mesh.region[id])] != 0) continue;
      const auto& [a, b, c] = model.mesh.triangles[id];
      join({model.node_of_vertex[a], model.node_of_vertex[b], model.node_of_vertex[c]});
    }
  }
  return seen;
}

void mark_unreached(const Model& model, Flags& gone) {
  const Flags seen = reached_nodes(model, gone);
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    const VertexId v = model.mesh.triangles[id][0];
    if (seen[index(model.node_of_vertex[v])] == 0)
      gone[static_cast<std::size_t>(model.mesh.region[id])] = 1;
  }
}

/// New numbers of those that stay, -1 for the others.
std::vector<std::int32_t> numbered(const Flags& stays) {
  std::vector<std::int32_t> number(stays.size(), -1);
  std::int32_t next = 0;
  for (std::size_t i = 0; i < stays.size(); ++i)
    if (stays[i] != 0) number[i] = next++;
  return number;
}

/// Drops the values of those that go; an empty field stays empty.
template <class T>
void keep(std::vector<T>& values, const std::vector<std::int32_t>& number) {
  if (values.empty()) return;
  std::vector<T> kept;
  for (std::size_t i = 0; i < values.size(); ++i)
    if (number[i] >= 0) kept.push_back(values[i]);
  values = std::move(kept);
}

template <class Id>
Id renumbered(Id id, const std::vector<std::int32_t>& number) {
  return static_cast<Id>(number[index(id)]);
}

void keep_triangles(Model& m, const Flags& gone) {
  Flags stays(m.mesh.triangles.size());
  for (std::size_t t = 0; t < stays.size(); ++t)
    stays[t] = gone[static_cast<std::size_t>(m.mesh.region[make_id<TriId>(t)])] == 0 ? 1 : 0;
  const auto number = numbered(stays);
  keep(m.mesh.triangles.vector(), number);
  keep(m.mesh.region.vector(), number);
  keep(m.mesh.slope.vector(), number);
  keep(m.thickness.vector(), number);
  keep(m.relief.vector(), number);
  keep(m.entrance.vector(), number);
}

void keep_vertices(Model& m) {
  Flags stays(m.mesh.points.size(), 0);
  for (const Triangle& corners : m.mesh.triangles.span())
    for (const VertexId v : corners) stays[index(v)] = 1;
  const auto number = numbered(stays);
  keep(m.mesh.points.vector(), number);
  keep(m.lower.vector(), number);
  keep(m.upper.vector(), number);
  keep(m.node_of_vertex.vector(), number);
  for (Triangle& corners : m.mesh.triangles.span())
    for (VertexId& v : corners) v = renumbered(v, number);
  std::erase_if(m.open_sides, [&](const auto& side) {
    return number[index(side[0])] < 0 || number[index(side[1])] < 0;
  });
  for (auto& side : m.open_sides)
    for (VertexId& v : side) v = renumbered(v, number);
}

void keep_nodes(Model& m) {
  Flags stays(m.n_nodes(), 0);
  stays[index(m.injection)] = 1;
  for (const NodeId n : m.node_of_vertex.span()) stays[index(n)] = 1;
  for (const LineElement& line : m.lines.span())
    stays[index(line.from)] = stays[index(line.to)] = 1;
  const auto number = numbered(stays);
  keep(m.position.vector(), number);
  for (NodeId& n : m.node_of_vertex.span()) n = renumbered(n, number);
  for (LineElement& line : m.lines.span()) {
    line.from = renumbered(line.from, number);
    line.to = renumbered(line.to, number);
  }
  m.injection = renumbered(m.injection, number);
}

void keep_regions(Model& m, SolidReport& report, const Flags& gone) {
  Flags stays(gone.size());
  std::transform(gone.begin(), gone.end(), stays.begin(),
                 [](std::uint8_t g) { return g == 0 ? std::uint8_t{1} : std::uint8_t{0}; });
  const auto number = numbered(stays);
  keep(m.regions, number);
  const auto renumber = [&](std::int32_t& r) {
    if (r >= 0) r = number[static_cast<std::size_t>(r)];
  };
  for (std::int32_t& r : m.mesh.region.span()) renumber(r);
  for (Channel& c : m.channels) renumber(c.feeds);
  std::erase_if(report.gates, [&](const GateFound& g) {
    return g.region >= 0 && gone[static_cast<std::size_t>(g.region)] != 0;
  });
  for (GateFound& g : report.gates) {
    renumber(g.region);
    renumber(g.part);
  }
}

}  // namespace

ClosedPieces close_off(Model& model, SolidReport& report, const ShutOff& shut) {
  Flags gone(model.regions.size(), 0);
  mark(model, Role::gate, shut.gates, gone);
  mark(model, Role::part, shut.parts, gone);
  for (const GateFound& g : report.gates)
    if (g.region >= 0 && g.part >= 0 && gone[static_cast<std::size_t>(g.part)] != 0)
      gone[static_cast<std::size_t>(g.region)] = 1;
  mark_unreached(model, gone);
  ClosedPieces out;
  bool part_left = false;
  for (std::size_t r = 0; r < gone.size(); ++r) {
    const Region& region = model.regions[r];
    if (region.role == Role::part && gone[r] == 0) part_left = true;
    if (gone[r] == 0 || region.role == Role::runner) continue;
    (region.role == Role::gate ? out.gates : out.parts).push_back(region.name);
  }
  if (!part_left) throw Error("nothing is left to fill; allowed: at least one part stays open");
  keep_triangles(model, gone);
  keep_vertices(model);
  keep_nodes(model);
  keep_regions(model, report, gone);
  return out;
}

}  // namespace firstshot
