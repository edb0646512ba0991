#include "mesh/solid/relief.hpp"

#include <algorithm>
#include <cmath>

#include "mesh/plane.hpp"

namespace firstshot {
namespace {

/// Samples lie within the triangle by these shares of the way to its centre: on a step along a side
/// each triangle sees its own level, and a place just outside the melt by the simplified outline
/// is tried again further in.
constexpr std::array<double, 4> inward = {0.02, 0.08, 0.25, 0.6};
/// No mould has walls of more than this slope: melt thinner than a tenth of its chord.
constexpr double steepest = 8.0;
/// Share of the variance of the middles that the plane may leave unexplained; a step through a
/// triangle leaves 0.1 and more, a sphere over its own radius 0.05.
constexpr double most_unexplained = 0.06;
constexpr double least_thickness = 1e-6;  ///< [m]
/// A triangle of which less than this share lies under melt is a sliver beside it.
constexpr double least_share = 0.2;

using Corners = std::array<Point, 3>;

Point at_shares(const Corners& c, double a, double b) {
  return a * c[0] + b * c[1] + (1.0 - a - b) * c[2];
}

struct Sample {
  Point at;
  DrawColumn column;
};

Sample sample(const ColumnAt& column_at, const Corners& c, Point p) {
  const Point centre = at_shares(c, 1.0 / 3.0, 1.0 / 3.0);
  Sample s;
  for (const double share : inward) {
    s.at = between(p, centre, share);
    s.column = column_at(s.at);
    if (s.column.holds()) break;
  }
  return s;
}

/// What is over a triangle.
struct Over {
  double mean_chord = 0.0;  ///< [m]
  double share = 0.0;       ///< of the triangle that lies under melt
};

/// One line at the centre of each of 16 equal parts.
Over melt_over(const ColumnAt& column_at, const Corners& c) {
  constexpr int parts = 4;
  constexpr double part = 1.0 / (parts * parts);
  Over over;
  const auto add = [&](double a, double b) {
    const DrawColumn column = column_at(at_shares(c, a / parts, b / parts));
    over.mean_chord += part * column.chord();
    if (column.holds()) over.share += part;
  };
  for (int i = 0; i < parts; ++i)
    for (int j = 0; j + i < parts; ++j) {
      constexpr double third = 1.0 / 3.0;
      add(i + third, j + third);
      if (i + j + 1 < parts) add(i + 2 * third, j + 2 * third);
    }
  return over;
}

/// Triangles between the simplified outline and the melt beside it take the wall that they lie
/// beside: as thin as what little is over them, they would be walls of no thickness.
void fill_slivers(Model& model, std::vector<std::uint8_t>& sliver) {
  constexpr int most_rounds = 4;
  const std::vector<MeshEdge> edges = mesh_edges(model.mesh);
  for (int round = 0; round < most_rounds; ++round) {
    std::vector<TriId> filled;
    const auto fill = [&](TriId t, TriId from) {
      if (sliver[index(t)] != 1 || sliver[index(from)] != 0) return;
      const Relief& beside = model.relief[from];
      double middle = 0.0;
      for (const double m : beside.middle) middle += m / static_cast<double>(beside.middle.size());
      model.thickness[t] = model.thickness[from];
      model.relief[t].chord.fill(model.thickness[from]);
      model.relief[t].middle.fill(middle);
      sliver[index(t)] = 2;
      filled.push_back(t);
    };
    for (const MeshEdge& e : edges) {
      if (e.right == TriId{-1}) continue;
      fill(e.left, e.right);
      fill(e.right, e.left);
    }
    for (const TriId t : filled) sliver[index(t)] = 0;
    if (filled.empty()) break;
  }
}

/// Slope of the plane that fits the middles best (least squares about their mean).
Point slope_of(const std::array<Sample, 6>& samples) {
  Point mean;
  double mean_z = 0.0, n = 0.0;
  for (const Sample& s : samples) {
    if (!s.column.holds()) continue;
    mean = mean + s.at;
    mean_z += s.column.middle();
    n += 1.0;
  }
  if (n < 3.0) return {};
  mean = (1.0 / n) * mean;
  mean_z /= n;
  double xx = 0.0, xy = 0.0, yy = 0.0, xz = 0.0, yz = 0.0;
  for (const Sample& s : samples) {
    if (!s.column.holds()) continue;
    const Point d = s.at - mean;
    const double z = s.column.middle() - mean_z;
    xx += d.x * d.x;
    xy += d.x * d.y;
    yy += d.y * d.y;
    xz += d.x * z;
    yz += d.y * z;
  }
  const double determinant = xx * yy - xy * xy;
  constexpr double in_line = 1e-9;
  if (!(determinant > in_line * (xx + yy) * (xx + yy))) return {};
  Point slope = {(xz * yy - yz * xy) / determinant, (yz * xx - xz * xy) / determinant};
  // On a step the middles lie on two levels and no plane fits: the wall does not slope there.
  double left = 0.0, whole = 0.0;
  for (const Sample& s : samples) {
    if (!s.column.holds()) continue;
    const double z = s.column.middle() - mean_z, off = z - dot(slope, s.at - mean);
    left += off * off;
    whole += z * z;
  }
  if (left > most_unexplained * whole) return {};
  const double size = norm(slope);
  if (size > steepest) slope = (steepest / size) * slope;
  return slope;
}

}  // namespace

void lay_relief(const ColumnAt& column_at, Model& model) {
  const TriMesh& mesh = model.mesh;
  const std::size_t n = mesh.triangles.size();
  model.relief = TriField<Relief>(n);
  model.thickness = TriField<double>(n);
  TriField<Point> slope(n);
  std::vector<std::uint8_t> sliver(n, 0);
  VertexField<double> lower(mesh.points.size(), 1e300), upper(mesh.points.size(), -1e300);
  for (std::size_t i = 0; i < n; ++i) {
    const TriId t = make_id<TriId>(i);
    Corners c;
    for (std::size_t k = 0; k < 3; ++k) c[k] = mesh.points[mesh.triangles[t][k]];
    Relief& relief = model.relief[t];
    std::array<Sample, 6> samples;
    for (std::size_t k = 0; k < 6; ++k) {
      const Point p = k < 3 ? c[k] : between(c[k - 3], c[(k - 2) % 3], 0.5);
      samples[k] = sample(column_at, c, p);
      const DrawColumn& column = samples[k].column;
      relief.chord[k] = column.holds() ? column.chord() : 0.0;
      relief.middle[k] = column.holds() ? column.middle() : 0.0;
      if (k >= 3 || !column.holds()) continue;
      const VertexId v = mesh.triangles[t][k];
      lower[v] = std::min(lower[v], column.lower);
      upper[v] = std::max(upper[v], column.upper);
    }
    if (model.regions[mesh.region[t]].role == Role::part) slope[t] = slope_of(samples);
    const double rise = std::sqrt(1.0 + dot(slope[t], slope[t]));
    const Over over = melt_over(column_at, c);
    model.thickness[t] = std::max(over.mean_chord / rise, least_thickness);
    if (over.share < least_share) {
      sliver[i] = 1;
      slope[t] = {};
    }
  }
  fill_slivers(model, sliver);
  for (std::size_t v = 0; v < lower.size(); ++v)
    if (lower.vector()[v] > upper.vector()[v]) lower.vector()[v] = upper.vector()[v] = 0.0;
  model.mesh.slope = std::move(slope);
  model.lower = std::move(lower);
  model.upper = std::move(upper);
}

}  // namespace firstshot
