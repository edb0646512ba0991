#include "solver/flow/relief_wall.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <queue>
#include <vector>

#include "mesh/plane.hpp"
#include "solver/flow/rectangle_duct.hpp"
#include "solver/flow/section_match.hpp"
#include "solver/flow/wall_smoothing.hpp"

namespace firstshot {
namespace {

/// A rim is an upright wall when the chord there is at least this share of the chord nearby.
constexpr double upright_share = 0.35;
constexpr double least_factor = 1e-4, most_factor = 2.0;
constexpr double tallest_weighted = 0.1;
/// Depth over the greatest depth of the section above which a place counts in full.
constexpr double full_depth_share = 0.85;
/// The greatest depth of a section is known this far away, in depths, over places of at least such
/// a share of it.
constexpr double reach = 0.75, reach_share = 0.3;
/// Beside the deepest place the melt of its section gets thinner by at least this per length; where
/// it does not, another channel begins, which feels the deep one only this many of its own
/// thicknesses far (what varies across a slab decays like exp(-π x/h)).
constexpr double least_fall = 0.3, felt_thicknesses = 1.0 / std::numbers::pi;
/// What Kantorovich's parabola along the draw misses in sections taller than wide: fitted to the
/// exact series for 1:2 (2.8 %) and 1:4 (6.9 %); 1:6 then comes within 1 %.
constexpr double tall_below = 0.42, tall_rise = 0.033;

/// Corners of the four parts of a triangle among its six places (Relief).
constexpr std::array<std::array<std::size_t, 3>, 4> parts = {
    {{0, 3, 5}, {3, 1, 4}, {5, 4, 2}, {3, 4, 5}}};

/// Places and weights that sum polynomials up to degree 4 over a triangle exactly (Strang and Fix;
/// from memory, unconfirmed; the ducts of tests/verify/test_solid_ducts rest on them).
struct GaussPlace {
  double a, b, weight;
};
constexpr double ga = 0.445948490915965, gb = 0.091576213509771;
constexpr double wa = 0.223381589678011, wb = 0.109951743655322;
constexpr std::array<GaussPlace, 6> gauss = {{{ga, ga, wa},
                                              {ga, 1 - 2 * ga, wa},
                                              {1 - 2 * ga, ga, wa},
                                              {gb, gb, wb},
                                              {gb, 1 - 2 * gb, wb},
                                              {1 - 2 * gb, gb, wb}}};

/// Six places of every triangle as vertices that neighbours share.
struct Places {
  std::vector<std::array<std::int32_t, 6>> of_triangle;
  std::vector<std::uint8_t> wall;  ///< (n_places)
};

std::uint64_t side_key(VertexId a, VertexId b) {
  const auto low = static_cast<std::uint64_t>(std::min(index(a), index(b)));
  return static_cast<std::uint64_t>(std::max(index(a), index(b))) << 32U | low;
}

bool is_upright(const Relief& relief, std::size_t side) {
  const double rim =
      std::max({relief.chord[side], relief.chord[(side + 1) % 3], relief.chord[3 + side]});
  return rim >= upright_share * *std::max_element(relief.chord.begin(), relief.chord.end());
}

Places find_places(const Model& model) {
  const TriMesh& mesh = model.mesh;
  std::vector<std::uint64_t> open;
  for (const auto& side : model.open_sides) open.push_back(side_key(side[0], side[1]));
  std::sort(open.begin(), open.end());
  const std::vector<MeshEdge> edges = mesh_edges(mesh);
  Places places;
  places.of_triangle.resize(mesh.triangles.size());
  places.wall.assign(mesh.points.size() + edges.size(), 0);
  const auto side_of = [&](TriId t, const MeshEdge& e) {
    const Triangle& c = mesh.triangles[t];
    for (std::size_t k = 0; k < 3; ++k)
      if (c[(k + 2) % 3] != e.a && c[(k + 2) % 3] != e.b) return k;
    return std::size_t{0};
  };
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t)
    for (std::size_t k = 0; k < 3; ++k)
      places.of_triangle[t][k] = static_cast<std::int32_t>(mesh.triangles[make_id<TriId>(t)][k]);
  for (std::size_t i = 0; i < edges.size(); ++i) {
    const MeshEdge& e = edges[i];
    const std::size_t middle = mesh.points.size() + i;
    const std::size_t side = side_of(e.left, e);
    places.of_triangle[index(e.left)][3 + side] = static_cast<std::int32_t>(middle);
    if (e.right != TriId{-1}) {
      places.of_triangle[index(e.right)][3 + side_of(e.right, e)] =
          static_cast<std::int32_t>(middle);
      continue;
    }
    if (std::binary_search(open.begin(), open.end(), side_key(e.a, e.b))) continue;
    if (!is_upright(model.relief[e.left], side)) continue;
    for (const std::size_t v : {index(e.a), index(e.b), middle}) places.wall[v] = 1;
  }
  return places;
}

/// One of the four parts with its linear chord and middle.
struct Part {
  std::array<std::int32_t, 3> place;
  std::array<double, 3> chord;
  std::array<Point, 3> hat;  ///< gradients of the hat functions [1/m]
  Point chord_slope;         ///< ∇h [-]
  double middle_rise = 0.0;  ///< |∇m|² [-]
  double area = 0.0;         ///< in the plane [m²]
};

Part part_of(const Model& model, const Places& places, std::size_t triangle, std::size_t k) {
  const auto t = make_id<TriId>(triangle);
  std::array<Point, 6> at;
  for (std::size_t c = 0; c < 3; ++c) at[c] = model.mesh.points[model.mesh.triangles[t][c]];
  for (std::size_t c = 0; c < 3; ++c) at[3 + c] = between(at[c], at[(c + 1) % 3], 0.5);
  Part part;
  const auto& corner = parts[k];
  const double twice = cross(at[corner[1]] - at[corner[0]], at[corner[2]] - at[corner[0]]);
  part.area = 0.5 * twice;
  Point middle_slope;
  for (std::size_t c = 0; c < 3; ++c) {
    const Point side = at[corner[(c + 2) % 3]] - at[corner[(c + 1) % 3]];
    part.place[c] = places.of_triangle[triangle][corner[c]];
    part.chord[c] = model.relief[t].chord[corner[c]];
    part.hat[c] = (1.0 / twice) * turned_left(side);
    part.chord_slope = part.chord_slope + part.chord[c] * part.hat[c];
    middle_slope = middle_slope + model.relief[t].middle[corner[c]] * part.hat[c];
  }
  part.middle_rise = dot(middle_slope, middle_slope);
  return part;
}

/// φ at every place.
std::vector<double> shape(const Model& model, const Places& places) {
  std::vector<MatrixEntry> entries;
  entries.reserve(36 * model.mesh.triangles.size());
  std::vector<double> right(places.wall.size(), 0.0);
  for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t)
    for (std::size_t k = 0; k < parts.size(); ++k) {
      const Part p = part_of(model, places, t, k);
      std::array<std::array<double, 3>, 3> matrix{};
      std::array<double, 3> load{};
      for (const GaussPlace& g : gauss) {
        const std::array<double, 3> hat = {g.a, g.b, 1.0 - g.a - g.b};
        const double h = hat[0] * p.chord[0] + hat[1] * p.chord[1] + hat[2] * p.chord[2];
        const double w = g.weight * p.area, h3 = h * h * h;
        const double mass =
            h3 * (dot(p.chord_slope, p.chord_slope) / 4.0 + p.middle_rise / 3.0 + 1.0 / 3.0);
        for (std::size_t i = 0; i < 3; ++i) {
          load[i] += w * hat[i] * h3 / 6.0;
          for (std::size_t j = 0; j < 3; ++j)
            matrix[i][j] +=
                w * (h3 * h * h / 30.0 * dot(p.hat[i], p.hat[j]) +
                     h3 * h / 12.0 * dot(hat[i] * p.hat[j] + hat[j] * p.hat[i], p.chord_slope) +
                     mass * hat[i] * hat[j]);
        }
      }
      for (std::size_t i = 0; i < 3; ++i) {
        if (places.wall[p.place[i]] != 0) continue;
        right[p.place[i]] += load[i];
        for (std::size_t j = 0; j < 3; ++j)
          if (places.wall[p.place[j]] == 0)
            entries.push_back({p.place[i], p.place[j], matrix[i][j]});
      }
    }
  // Walls, and places without any melt around them, stay at 0.
  std::vector<double> diagonal(right.size(), 0.0);
  for (const MatrixEntry& e : entries)
    if (e.at_row == e.at_column) diagonal[e.at_row] += e.amount;
  for (std::size_t i = 0; i < diagonal.size(); ++i)
    if (!(diagonal[i] > 0.0)) entries.push_back({static_cast<int>(i), static_cast<int>(i), 1.0});
  return solve_symmetric(entries, right);
}

/// Mean of φ h³/6 over a triangle [m³]: Newtonian flow per width in the plane, gradient/viscosity.
double mean_flow(const Model& model, const Places& places, const std::vector<double>& phi,
                 std::size_t triangle) {
  double sum = 0.0;
  for (std::size_t k = 0; k < parts.size(); ++k) {
    const Part p = part_of(model, places, triangle, k);
    for (const GaussPlace& g : gauss) {
      const std::array<double, 3> hat = {g.a, g.b, 1.0 - g.a - g.b};
      double h = 0.0, f = 0.0;
      for (std::size_t c = 0; c < 3; ++c) {
        h += hat[c] * p.chord[c];
        f += hat[c] * phi[p.place[c]];
      }
      sum += 0.25 * g.weight * f * h * h * h / 6.0;
    }
  }
  return sum;
}

/// Greatest thickness of the section at each triangle: that of any place within reach, over places
/// that are not much thinner.
std::vector<double> section_depth(const Model& model) {
  const TriMesh& mesh = model.mesh;
  std::vector<double> own(mesh.points.size(), 0.0);
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t)
    for (const VertexId v : mesh.triangles[make_id<TriId>(t)])
      own[index(v)] = std::max(own[index(v)], model.thickness[make_id<TriId>(t)]);
  std::vector<std::int32_t> start(own.size() + 1, 0), neighbour;
  const std::vector<MeshEdge> edges = mesh_edges(mesh);
  for (const MeshEdge& e : edges) ++start[index(e.a) + 1], ++start[index(e.b) + 1];
  for (std::size_t i = 1; i < start.size(); ++i) start[i] += start[i - 1];
  neighbour.resize(static_cast<std::size_t>(start.back()));
  std::vector<std::int32_t> next(start.begin(), start.end() - 1);
  for (const MeshEdge& e : edges) {
    neighbour[next[index(e.a)]++] = static_cast<std::int32_t>(e.b);
    neighbour[next[index(e.b)]++] = static_cast<std::int32_t>(e.a);
  }
  // From the thickest place down; a place keeps the first, greatest depth that reaches it.
  struct Reach {
    double depth;
    double flat;  // way over places that are thinner but get no thinner [m]
    std::int32_t vertex, source;
    bool operator<(const Reach& o) const {
      if (depth != o.depth) return depth < o.depth;
      return flat != o.flat ? flat > o.flat : vertex > o.vertex;
    }
  };
  std::priority_queue<Reach> queue;
  std::vector<double> depth(own.size(), 0.0);
  for (std::size_t v = 0; v < own.size(); ++v)
    queue.push({own[v], 0.0, static_cast<std::int32_t>(v), static_cast<std::int32_t>(v)});
  while (!queue.empty()) {
    const Reach r = queue.top();
    queue.pop();
    if (depth[r.vertex] > 0.0) continue;
    depth[r.vertex] = r.depth;
    const Point from = mesh.points[VertexId{r.source}];
    for (std::int32_t k = start[r.vertex]; k < start[r.vertex + 1]; ++k) {
      const std::int32_t v = neighbour[k];
      if (depth[v] > 0.0 || own[v] >= r.depth || own[v] < reach_share * r.depth) continue;
      if (distance(from, mesh.points[VertexId{v}]) > reach * r.depth) continue;
      const double way = distance(mesh.points[VertexId{r.vertex}], mesh.points[VertexId{v}]);
      const bool falls = own[r.vertex] - own[v] >= least_fall * way;
      const bool as_deep = own[v] >= full_depth_share * r.depth;
      const double flat = r.flat + (falls || as_deep ? 0.0 : way);
      if (flat > felt_thicknesses * own[v]) continue;
      queue.push({r.depth, flat, v, r.source});
    }
  }
  std::vector<double> of_triangle;
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    of_triangle.push_back(std::max(corner_mean(mesh, t, depth), model.thickness[id]));
  }
  return of_triangle;
}

}  // namespace

SideWall relief_wall(const Model& model) {
  const TriMesh& mesh = model.mesh;
  const Places places = find_places(model);
  const std::vector<double> phi = shape(model, places);
  const std::vector<double> depth = section_depth(model);
  SideWall wall;
  std::vector<double> length, source;
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    const auto id = make_id<TriId>(t);
    const double h = model.thickness[id];
    const double flow = mean_flow(model, places, phi, t) / rise(mesh, id);
    const double factor = std::clamp(12.0 * flow / (h * h * h), least_factor, most_factor);
    wall.factor.push_back(factor);
    length.push_back(smoothing_length * depth[t]);
    source.push_back(std::min(factor, 1.0) * std::min(1.0, h / (full_depth_share * depth[t])));
  }
  const std::vector<std::uint8_t> free(mesh.points.size(), 0);
  const std::vector<double> smoothed = smooth(mesh, length, source, free);
  std::vector<double> third, fourth;
  for (const double s : source) {
    third.push_back(s * s * s);
    fourth.push_back(third.back() * s);
  }
  const std::vector<double> weight = smooth(mesh, length, third, free);
  const std::vector<double> weighted = smooth(mesh, length, fourth, free);
  const RectangleOfMiddle rectangle_of_middle;
  const CoolingSlabs cooling_slab;
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    const double mean = std::clamp(corner_mean(mesh, t, smoothed), least_factor, 1.0);
    wall.gradient_factor.push_back(gradient_factor_of(mean));
    const double missed = mean < tall_below ? 1.0 + tall_rise * std::log(tall_below / mean) : 1.0;
    wall.factor[make_id<TriId>(t)] *= missed;
    // Powers of a small factor are lost in rounding; walls that tall end nowhere near.
    const double ratio =
        mean < tallest_weighted
            ? rectangle_of_factor(missed * mean)
            : rectangle_of_middle(corner_mean(mesh, t, weighted) / corner_mean(mesh, t, weight));
    const CoolingSlab slab = cooling_slab(ratio);
    wall.thermal_gap.push_back(depth[t] * slab.gap);
    wall.contact.push_back(slab.contact);
  }
  match_sections(model, wall);
  return wall;
}

}  // namespace firstshot
