#include "mesh/solid/close_off_solid.hpp"

#include <algorithm>

#include "mesh/error.hpp"

namespace firstshot {
namespace {

using Flags = std::vector<std::uint8_t>;

/// What is gone, by the index of the model.
struct Gone {
  Flags regions, channels;
};

/// Marks what bears one of the names that the user has given.
/// @param list of regions or channels, of which those with `role` can be named
template <class Item>
void mark(const std::vector<Item>& list, Role role, const std::vector<std::string>& names,
          Flags& gone) {
  for (const std::string& name : names) {
    std::string known;
    bool found = false;
    for (std::size_t i = 0; i < list.size(); ++i) {
      if (list[i].role != role) continue;
      known += (known.empty() ? "" : ", ") + list[i].name;
      if (list[i].name != name) continue;
      gone[i] = 1;
      found = true;
    }
    if (found) continue;
    std::string text = role == Role::gate ? "there is no gate \"" : "there is no part \"";
    text += name;
    text += "\" in the solid; known: ";
    text += known.empty() ? "none" : known;
    throw Error(text);
  }
}

/// Nodes that melt reaches through regions that stay.
Flags reached_nodes(const Model& model, const Gone& gone) {
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
    for (const LineElement& line : model.lines.span())
      if (gone.channels[static_cast<std::size_t>(line.channel)] == 0) join({line.from, line.to});
    for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
      const auto id = make_id<TriId>(t);
      if (gone.regions[static_cast<std::size_t>(model.mesh.region[id])] != 0) continue;
      const auto& [a, b, c] = model.mesh.triangles[id];
      join({model.node_of_vertex[a], model.node_of_vertex[b], model.node_of_vertex[c]});
    }
  }
  return seen;
}

void mark_unreached(const Model& model, Gone& gone) {
  const Flags seen = reached_nodes(model, gone);
  for (const LineElement& line : model.lines.span())
    if (seen[index(line.from)] == 0) gone.channels[static_cast<std::size_t>(line.channel)] = 1;
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    const VertexId v = model.mesh.triangles[id][0];
    if (seen[index(model.node_of_vertex[v])] == 0)
      gone.regions[static_cast<std::size_t>(model.mesh.region[id])] = 1;
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

std::vector<std::int32_t> numbered_left(const Flags& gone) {
  Flags stays(gone.size());
  std::transform(gone.begin(), gone.end(), stays.begin(),
                 [](std::uint8_t g) { return g == 0 ? std::uint8_t{1} : std::uint8_t{0}; });
  return numbered(stays);
}

void keep_channels(Model& m, const Flags& gone) {
  const auto number = numbered_left(gone);
  std::erase_if(m.lines.vector(), [&](const LineElement& line) {
    return number[static_cast<std::size_t>(line.channel)] < 0;
  });
  for (LineElement& line : m.lines.span())
    line.channel = number[static_cast<std::size_t>(line.channel)];
  keep(m.channels, number);
}

/// Numbers the nodes again. Vertices of a mouth whose gate is gone get a node each: what was a
/// mouth is a wall.
void keep_nodes(Model& m) {
  Flags has_channel(m.n_nodes(), 0);
  has_channel[index(m.injection)] = 1;
  for (const LineElement& line : m.lines.span())
    has_channel[index(line.from)] = has_channel[index(line.to)] = 1;
  std::vector<Point3> position;
  std::vector<std::int32_t> number(m.n_nodes(), -1);
  const auto keep_node = [&](NodeId n) {
    std::int32_t& to = number[index(n)];
    if (to < 0) {
      to = static_cast<std::int32_t>(position.size());
      position.push_back(m.position[n]);
    }
    return NodeId{to};
  };
  for (std::size_t i = 0; i < m.mesh.points.size(); ++i) {
    const VertexId v = make_id<VertexId>(i);
    const NodeId n = m.node_of_vertex[v];
    if (has_channel[index(n)] == 0) {
      m.node_of_vertex[v] = make_id<NodeId>(position.size());
      position.push_back({m.mesh.points[v].x, m.mesh.points[v].y, 0.0});
    } else {
      m.node_of_vertex[v] = keep_node(n);
    }
  }
  for (LineElement& line : m.lines.span()) {
    line.from = keep_node(line.from);
    line.to = keep_node(line.to);
  }
  m.injection = keep_node(m.injection);
  m.position = NodeField<Point3>(std::move(position));
  std::erase_if(m.open_sides, [&](const auto& side) {
    return m.node_of_vertex[side[0]] != m.node_of_vertex[side[1]];
  });
}

void keep_regions(Model& m, SolidReport& report, const Flags& gone) {
  const auto number = numbered_left(gone);
  std::erase_if(report.walls, [&](const SideWalls& walls) {
    const auto at = std::find_if(m.regions.begin(), m.regions.end(),
                                 [&](const Region& r) { return r.name == walls.part; });
    return number[static_cast<std::size_t>(at - m.regions.begin())] < 0;
  });
  keep(m.regions, number);
  const auto renumber = [&](std::int32_t& r) {
    if (r >= 0) r = number[static_cast<std::size_t>(r)];
  };
  for (std::int32_t& r : m.mesh.region.span()) renumber(r);
  for (Channel& c : m.channels) renumber(c.feeds);
  for (GateFound& g : report.gates) {
    renumber(g.region);
    renumber(g.part);
  }
}

}  // namespace

ClosedPieces close_off(Model& model, SolidReport& report, const ShutOff& shut) {
  Gone gone{Flags(model.regions.size(), 0), Flags(model.channels.size(), 0)};
  mark(model.channels, Role::gate, shut.gates, gone.channels);
  mark(model.regions, Role::part, shut.parts, gone.regions);
  const auto is_gone = [&](std::int32_t region) {
    return region >= 0 && gone.regions[static_cast<std::size_t>(region)] != 0;
  };
  const auto close_gates = [&] {
    for (const GateFound& g : report.gates)
      for (std::size_t c = 0; c < gone.channels.size(); ++c)
        if (model.channels[c].name == g.name && (is_gone(g.part) || is_gone(g.region)))
          gone.channels[c] = 1;
  };
  close_gates();
  mark_unreached(model, gone);
  close_gates();
  ClosedPieces out;
  bool part_left = false;
  for (std::size_t r = 0; r < gone.regions.size(); ++r) {
    if (model.regions[r].role != Role::part) continue;
    if (gone.regions[r] == 0)
      part_left = true;
    else
      out.parts.push_back(model.regions[r].name);
  }
  for (std::size_t c = 0; c < gone.channels.size(); ++c)
    if (gone.channels[c] != 0) out.gates.push_back(model.channels[c].name);
  if (!part_left) throw Error("nothing is left to fill; allowed: at least one part stays open");
  std::erase_if(report.gates, [&](const GateFound& g) {
    return is_gone(g.part) || is_gone(g.region) ||
           std::find(out.gates.begin(), out.gates.end(), g.name) != out.gates.end();
  });
  keep_triangles(model, gone.regions);
  keep_vertices(model);
  keep_channels(model, gone.channels);
  keep_nodes(model);
  keep_regions(model, report, gone.regions);
  return out;
}

}  // namespace firstshot
