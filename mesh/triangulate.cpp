#include "mesh/triangulate.hpp"

#include <cmath>
#include <numbers>
#include <optional>

#include <CGAL/Constrained_Delaunay_triangulation_2.h>
#include <CGAL/Delaunay_mesh_face_base_2.h>
#include <CGAL/Delaunay_mesh_vertex_base_2.h>
#include <CGAL/Delaunay_mesher_2.h>
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Triangulation_vertex_base_with_info_2.h>

#include "mesh/error.hpp"
#include "mesh/flip_mesh.hpp"

namespace firstshot {
namespace {

using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using VertexBase =
    CGAL::Triangulation_vertex_base_with_info_2<int, Kernel,
                                                CGAL::Delaunay_mesh_vertex_base_2<Kernel>>;
using FaceBase = CGAL::Delaunay_mesh_face_base_2<Kernel>;
using Cdt = CGAL::Constrained_Delaunay_triangulation_2<
    Kernel, CGAL::Triangulation_data_structure_2<VertexBase, FaceBase>, CGAL::Exact_predicates_tag>;

/// Smallest angle asked for first, which ended on every layout tried, and the one for which
/// refinement is guaranteed to end [deg].
constexpr double wanted_angle_deg = 28.0;
constexpr double guaranteed_angle_deg = 20.7;
/// Delaunay refinement with a bound on the longest side leaves sides of about 0.66 of that bound on
/// average; so that the mean is the wanted edge length, the bound is set higher by the inverse.
constexpr double longest_over_wanted = 1.5;
/// Refinement that has made this many times the expected number of vertices will not come to an
/// end.
constexpr double runaway = 6.0;
constexpr int smoothing_sweeps = 4;

double squared_sine(double angle_deg) {
  const double s = std::sin(angle_deg * std::numbers::pi / 180.0);
  return s * s;
}

Point to_point(const Kernel::Point_2& p) { return {p.x(), p.y()}; }

/// What refinement asks of a triangle: its longest side no longer than the size field allows, and
/// its smallest angle no smaller than a bound. The model of the mesher's criteria concept.
class Criteria {
 public:
  /// Worse is less. `oversize`: longest side over allowed side, squared; `sine`: squared sine of
  /// the smallest angle.
  struct Quality {
    double oversize = 0.0;
    double sine = 1.0;
    bool operator<(const Quality& other) const {
      const bool too_large = oversize > 1.0;
      const bool other_too_large = other.oversize > 1.0;
      if (too_large && other_too_large) return oversize > other.oversize;
      if (too_large != other_too_large) return too_large;
      return sine < other.sine;
    }
  };

  class Is_bad {  // NOLINT(readability-identifier-naming): the concept asks for this name
   public:
    Is_bad(const SizeField& field, double bound) : field_(&field), bound_(bound) {}

    CGAL::Mesh_2::Face_badness operator()(const Quality& quality) const {
      if (quality.oversize > 1.0) return CGAL::Mesh_2::IMPERATIVELY_BAD;
      return quality.sine < bound_ ? CGAL::Mesh_2::BAD : CGAL::Mesh_2::NOT_BAD;
    }

    CGAL::Mesh_2::Face_badness operator()(const Cdt::Face_handle& face, Quality& quality) const {
      const Point a = to_point(face->vertex(0)->point());
      const Point b = to_point(face->vertex(1)->point());
      const Point c = to_point(face->vertex(2)->point());
      const double ab = dot(b - a, b - a);
      const double bc = dot(c - b, c - b);
      const double ca = dot(a - c, a - c);
      const double longest = std::max({ab, bc, ca});
      const double shortest = std::min({ab, bc, ca});
      const double middle = ab + bc + ca - longest - shortest;
      const double twice_area = cross(b - a, c - a);
      // The smallest angle lies between the two longer sides.
      quality.sine = twice_area * twice_area / (middle * longest);
      const double allowed = longest_over_wanted * field_->at((1.0 / 3.0) * (a + b + c));
      quality.oversize = longest / (allowed * allowed);
      return operator()(quality);
    }

   private:
    const SizeField* field_;
    double bound_;
  };

  Criteria(const SizeField& field, double bound) : field_(&field), bound_(bound) {}
  Is_bad is_bad_object() const { return {*field_, bound_}; }

 private:
  const SizeField* field_;
  double bound_;
};

Cdt border_triangulation(const Borders& borders) {
  std::vector<Kernel::Point_2> points;
  for (const Point p : borders.points) points.emplace_back(p.x, p.y);
  std::vector<std::pair<std::size_t, std::size_t>> sides;
  for (const BorderSide& side : border_sides(borders)) sides.emplace_back(side.a, side.b);
  Cdt cdt;
  cdt.insert_constraints(points.begin(), points.end(), sides.begin(), sides.end());
  return cdt;
}

/// Triangles for which `keep` holds, in the order in which the triangulation stores them.
template <class Keep>
FlipMesh extracted(Cdt& cdt, const Keep& keep) {
  FlipMesh mesh;
  for (const auto vertex : cdt.finite_vertex_handles()) vertex->info() = -1;
  std::vector<Cdt::Face_handle> faces;
  for (const auto face : cdt.finite_face_handles()) {
    if (keep(face)) faces.push_back(face);
  }
  for (const auto face : faces) {
    std::array<int, 3> corners{};
    std::array<bool, 3> fixed{};
    for (int k = 0; k < 3; ++k) {
      int& number = face->vertex(k)->info();
      if (number < 0) {
        number = static_cast<int>(mesh.points.size());
        mesh.points.push_back(to_point(face->vertex(k)->point()));
      }
      corners[k] = number;
      fixed[k] = face->is_constrained(k);
    }
    mesh.corners.push_back(corners);
    mesh.fixed.push_back(fixed);
  }
  return mesh;
}

/// Fills in the neighbours from shared corners.
void connect(FlipMesh& mesh) {
  TriMesh plain;
  plain.points = VertexField<Point>(mesh.points);
  for (const auto& c : mesh.corners) {
    plain.triangles.push_back({VertexId{c[0]}, VertexId{c[1]}, VertexId{c[2]}});
  }
  mesh.neighbour.assign(mesh.corners.size(), {-1, -1, -1});
  const auto link = [&](TriId t, TriId other, const MeshEdge& edge) {
    for (std::size_t k = 0; k < 3; ++k) {
      const VertexId v = plain.triangles[t][k];
      if (v != edge.a && v != edge.b) mesh.neighbour[index(t)][k] = static_cast<int>(other);
    }
  };
  for (const MeshEdge& edge : mesh_edges(plain)) {
    if (edge.right == TriId{-1}) continue;
    link(edge.left, edge.right, edge);
    link(edge.right, edge.left, edge);
  }
}

/// For each connected piece, the centre of its triangle with the widest inscribed circle: a point
/// well away from all borders.
std::vector<Point> inner_points(const FlipMesh& mesh, const std::vector<int>& piece) {
  std::vector<Point> inner;
  std::vector<double> widest;
  for (std::size_t t = 0; t < mesh.corners.size(); ++t) {
    const Point a = mesh.points[mesh.corners[t][0]];
    const Point b = mesh.points[mesh.corners[t][1]];
    const Point c = mesh.points[mesh.corners[t][2]];
    const double ab = distance(a, b);
    const double bc = distance(b, c);
    const double ca = distance(c, a);
    const double radius = cross(b - a, c - a) / (ab + bc + ca);
    const auto p = static_cast<std::size_t>(piece[t]);
    if (p >= inner.size()) {
      inner.resize(p + 1);
      widest.resize(p + 1, -1.0);
    }
    if (radius <= widest[p]) continue;
    widest[p] = radius;
    inner[p] = (1.0 / (ab + bc + ca)) * (bc * a + ca * b + ab * c);
  }
  return inner;
}

/// Points inside each piece of the drawing that is filled with melt.
std::vector<Kernel::Point_2> filled_places(Cdt& cdt, const PieceAt& piece_at) {
  FlipMesh mesh = extracted(cdt, [](Cdt::Face_handle) { return true; });
  connect(mesh);
  std::vector<Kernel::Point_2> places;
  for (const Point p : inner_points(mesh, connected_pieces(mesh))) {
    if (piece_at(p).area >= 0) places.emplace_back(p.x, p.y);
  }
  return places;
}

/// What each connected piece of a filled mesh belongs to. The widest place of a sliver may look
/// empty to someone who rounds it; then any of its triangles tells.
std::vector<Piece> found_pieces(const FlipMesh& mesh, const std::vector<int>& piece,
                                const PieceAt& piece_at) {
  std::vector<Piece> found;
  const std::vector<Point> inner = inner_points(mesh, piece);
  found.reserve(inner.size());
  for (const Point p : inner) found.push_back(piece_at(p));
  for (std::size_t t = 0; t < mesh.corners.size(); ++t) {
    Piece& of = found[static_cast<std::size_t>(piece[t])];
    if (of.area >= 0) continue;
    const auto& c = mesh.corners[t];
    const auto corner = [&](int k) { return mesh.points[c[k]]; };
    for (const Point p :
         {(1.0 / 3.0) * (corner(0) + corner(1) + corner(2)), corner(0), corner(1), corner(2)})
      if (of.area < 0) of = piece_at(p);
  }
  for (std::size_t k = 0; k < found.size(); ++k)
    if (found[k].area < 0)
      throw GeometryError(
          "a sliver of melt is too narrow to tell what it belongs to; use smaller elements",
          inner[k].x, inner[k].y);
  return found;
}

/// The filled triangles after refinement, or nothing when it made more vertices than `most`.
std::optional<FlipMesh> refined(const Borders& borders, const PieceAt& piece_at,
                                const SizeField& field, double angle_deg, double most) {
  Cdt cdt = border_triangulation(borders);
  const std::vector<Kernel::Point_2> places = filled_places(cdt, piece_at);
  CGAL::Delaunay_mesher_2<Cdt, Criteria> mesher(cdt, Criteria(field, squared_sine(angle_deg)));
  mesher.set_seeds(places.begin(), places.end(), true);
  mesher.init();
  while (!mesher.is_refinement_done()) {
    mesher.step_by_step_refine_mesh();
    if (static_cast<double>(cdt.number_of_vertices()) > most) return std::nullopt;
  }
  FlipMesh mesh = extracted(cdt, [](Cdt::Face_handle face) { return face->is_in_domain(); });
  connect(mesh);
  return mesh;
}

FlipMesh refined(const Borders& borders, const PieceAt& piece_at, const SizeField& field) {
  const double expected =
      field.expected_vertices() + 20.0 * static_cast<double>(borders.points.size()) + 1e4;
  if (auto mesh = refined(borders, piece_at, field, wanted_angle_deg, runaway * expected)) {
    return *mesh;
  }
  // Where the first attempt ran away, the guaranteed bound needs room too before it settles.
  if (auto mesh =
          refined(borders, piece_at, field, guaranteed_angle_deg, 4.0 * runaway * expected)) {
    return *mesh;
  }
  const Point at = borders.points[0];
  throw GeometryError("the mesh does not come to an end; outlines meet at too sharp an angle", at.x,
                      at.y);
}

}  // namespace

Triangulation triangulate(const Borders& borders, const PieceAt& piece_at, const SizeField& field) {
  Triangulation result;
  if (borders.loops.empty()) return result;
  // In order first: smoothing then works on neighbours in memory, and moves no vertex far along the
  // curve.
  const FlipMesh mesh =
      smoothed(ordered_along_curve(refined(borders, piece_at, field)), smoothing_sweeps);
  const std::vector<int> piece = connected_pieces(mesh);
  const std::vector<Piece> found = found_pieces(mesh, piece, piece_at);
  result.mesh.points = VertexField<Point>(mesh.points);
  for (std::size_t t = 0; t < mesh.corners.size(); ++t) {
    const auto& c = mesh.corners[t];
    result.mesh.triangles.push_back({VertexId{c[0]}, VertexId{c[1]}, VertexId{c[2]}});
    result.mesh.region.push_back(found[piece[t]].area);
    result.thickness.push_back(found[piece[t]].thickness);
  }
  return result;
}

Triangulation triangulate(const Borders& borders, const PieceFinder& pieces,
                          const SizeField& field) {
  return triangulate(borders, PieceAt([&](Point p) { return pieces.at(p); }), field);
}

}  // namespace firstshot
