#include <cmath>
#include <set>

#include <catch2/catch.hpp>

#include "mesh/build_model.hpp"
#include "mesh/error.hpp"
#include "mesh/plane.hpp"
#include "tests/mesh/layouts.hpp"

using namespace firstshot;
using namespace firstshot::test;

namespace {

std::vector<Point> vertices_of(const Model& model, NodeId node) {
  std::vector<Point> points;
  for (std::size_t i = 0; i < model.mesh.points.size(); ++i) {
    if (model.node_of_vertex[make_id<VertexId>(i)] == node) {
      points.push_back(model.mesh.points[make_id<VertexId>(i)]);
    }
  }
  return points;
}

NodeId mouth_of(const Model& model, const std::string& gate) {
  NodeId node{-1};
  for (const LineElement& line : model.lines.span()) {
    if (model.channels[line.channel].name == gate) node = line.to;
  }
  return node;
}

bool same_mesh(const Model& a, const Model& b) {
  return a.mesh.points == b.mesh.points && a.mesh.triangles == b.mesh.triangles &&
         a.mesh.region == b.mesh.region && a.thickness == b.thickness &&
         a.node_of_vertex == b.node_of_vertex && a.open_sides == b.open_sides;
}

}  // namespace

TEST_CASE("all vertices in a gate's mouth share one node, over the gate's width", "[mesh]") {
  const Model model = build_model(frame_of_one(), {});
  const auto mouth = vertices_of(model, mouth_of(model, "g"));
  CHECK(mouth.size() >= 5);
  double low = 1.0;
  double high = -1.0;
  for (const Point p : mouth) {
    CHECK(p.x == Approx(42 * mm));
    low = std::min(low, p.y);
    high = std::max(high, p.y);
  }
  CHECK(low == Approx(-0.5 * mm));
  CHECK(high == Approx(0.5 * mm));
  CHECK(model.open_sides.size() == mouth.size() - 1);
  double open = 0.0;
  for (const auto& [a, b] : model.open_sides) {
    open += distance(model.mesh.points[a], model.mesh.points[b]);
  }
  CHECK(open == Approx(1 * mm));
}

TEST_CASE("a mouth across a gate has as many elements as asked for", "[mesh]") {
  MeshOptions options;
  options.across_gate = 7;
  CHECK(build_model(frame_of_one(), options).open_sides.size() >= 7);
}

TEST_CASE("two gates whose mouths overlap open each side of the rim once", "[mesh]") {
  Layout layout = frame_of_one();
  layout.gates.push_back(gate("h", {40 * mm, 0}, {42 * mm, 0.7 * mm}, 1 * mm, 0.6 * mm));
  const Model model = build_model(layout, {});
  double open = 0.0;
  for (const auto& [a, b] : model.open_sides) {
    open += distance(model.mesh.points[a], model.mesh.points[b]);
  }
  CHECK(open == Approx(1.7 * mm).epsilon(0.01));  // ends may move to a corner of the rim by 1 %
  CHECK(mouth_of(model, "g") == mouth_of(model, "h"));
}

TEST_CASE("a gate's end that misses the rim by 0.04 mm is set on it", "[mesh][limit]") {
  Layout layout = frame_of_one();
  layout.gates[0].to.x = 41.96 * mm;
  const Model model = build_model(layout, {});
  CHECK(model.position[mouth_of(model, "g")].x == Approx(42 * mm));
}

TEST_CASE("a gate at a corner wraps around it", "[mesh]") {
  Layout layout = frame_of_one();
  layout.runners[0].points[1] = {40 * mm, 0};
  layout.areas[0] = rectangle("plate", {42 * mm, -0.2 * mm}, {72 * mm, 20 * mm}, 1 * mm);
  const Model model = build_model(layout, {});
  std::set<int> on_side;
  for (const Point p : vertices_of(model, mouth_of(model, "g"))) {
    on_side.insert(p.x > 42.001 * mm ? 1 : 0);
  }
  CHECK(on_side.size() == 2);
}

TEST_CASE("a gate may feed the rim of a hole", "[mesh]") {
  Layout layout;
  layout.areas = {rectangle("ring", {-20 * mm, -20 * mm}, {20 * mm, 20 * mm}, 1 * mm)};
  layout.areas[0].holes = {CircleShape{{0, 0}, 16 * mm}};
  layout.runners = {round_runner("r", {{0, 0}, {5 * mm, 0}}, 3 * mm)};
  layout.gates = {gate("g", {5 * mm, 0}, {8 * mm, 0}, 2 * mm, 0.6 * mm)};
  const Model model = build_model(layout, {});
  double open = 0.0;
  for (const auto& [a, b] : model.open_sides) {
    open += distance(model.mesh.points[a], model.mesh.points[b]);
  }
  CHECK(open == Approx(2 * mm).epsilon(0.02));  // ends may move to a corner of the rim by 1 %
}

TEST_CASE("areas that abut share the vertices of their common border", "[mesh]") {
  Layout layout = fed_plate();
  layout.areas.push_back(
      polygon("flap", {{30 * mm, 5 * mm}, {50 * mm, 8 * mm}, {30 * mm, 15 * mm}}, 2 * mm));
  const Model model = build_model(layout, {});
  double shared = 0.0;
  for (const MeshEdge& edge : mesh_edges(model.mesh)) {
    if (edge.right == TriId{-1}) continue;
    if (model.mesh.region[edge.left] != model.mesh.region[edge.right]) {
      shared += distance(model.mesh.points[edge.a], model.mesh.points[edge.b]);
    }
  }
  CHECK(shared == Approx(10 * mm));
  CHECK(meshed_area(model, 0) == Approx(600e-6));
  CHECK(meshed_area(model, 1) == Approx(100e-6));
}

TEST_CASE("an injection in an area is a disc of one node", "[mesh]") {
  Layout layout = fed_plate();
  layout.injection_diameter = 3 * mm;
  const Model model = build_model(layout, {});
  const auto disc = vertices_of(model, model.injection);
  CHECK(disc.size() > 12);
  for (const Point p : disc) CHECK(distance(p, layout.injection) < 1.52 * mm);
  for (std::size_t i = 0; i < model.mesh.points.size(); ++i) {
    const VertexId v = make_id<VertexId>(i);
    if (distance(model.mesh.points[v], layout.injection) < 1.48 * mm) {
      CHECK(model.node_of_vertex[v] == model.injection);
    }
  }
}

TEST_CASE("without a diameter the injection's mouth is two thicknesses wide", "[mesh]") {
  Layout layout = fed_plate();
  layout.injection_diameter = 0.0;
  layout.areas[0].steps = {{CircleShape{{15 * mm, 10 * mm}, 10 * mm}, 2 * mm, ""}};
  const Model model = build_model(layout, {});
  double widest = 0.0;
  for (const Point p : vertices_of(model, model.injection)) {
    widest = std::max(widest, distance(p, layout.injection));
  }
  CHECK(widest == Approx(2 * mm).epsilon(0.02));
}

TEST_CASE("an injection disc at the rim is cut off by the rim", "[mesh]") {
  Layout layout = fed_plate();
  layout.injection = {0, 10 * mm};
  layout.injection_diameter = 4 * mm;
  const Model model = build_model(layout, {});
  CHECK(quality(model.mesh).non_delaunay_edges == 0);
  CHECK(meshed_area(model, 0) == Approx(600e-6));
  CHECK(vertices_of(model, model.injection).size() > 8);
  CHECK(model.open_sides.empty());  // the rim inside the disc stays a wall
}

TEST_CASE("a strip fed over its whole end has the end as its injection node", "[mesh]") {
  Layout layout = fed_plate();
  layout.injection = {0, 10 * mm};
  layout.injection_width = 20 * mm;
  const Model model = build_model(layout, {});
  for (std::size_t i = 0; i < model.mesh.points.size(); ++i) {
    const VertexId v = make_id<VertexId>(i);
    const bool at_end = std::abs(model.mesh.points[v].x) < 1e-9;
    CHECK((model.node_of_vertex[v] == model.injection) == at_end);
  }
  double open = 0.0;
  for (const auto& [a, b] : model.open_sides) {
    open += distance(model.mesh.points[a], model.mesh.points[b]);
  }
  CHECK(open == Approx(20 * mm));
}

TEST_CASE("a sprue on a part feeds the disc of its foot", "[mesh]") {
  Layout layout = fed_plate();
  layout.sprue = Sprue{{15 * mm, 10 * mm}, 30 * mm, 3 * mm, 4 * mm, ""};
  const Model model = build_model(layout, {});
  const NodeId foot = model.lines.span().back().to;
  double widest = 0.0;
  for (const Point p : vertices_of(model, foot)) {
    widest = std::max(widest, distance(p, {15 * mm, 10 * mm}));
  }
  CHECK(widest == Approx(2 * mm).epsilon(0.02));
  CHECK(model.position[model.injection].z == Approx(30 * mm));
}

TEST_CASE("nodes are numbered vertices first, and every one lies where it should", "[mesh]") {
  const Model model = build_model(frame_of_one(), {});
  std::int32_t next = 0;
  for (std::size_t i = 0; i < model.mesh.points.size(); ++i) {
    const auto node = static_cast<std::int32_t>(model.node_of_vertex[make_id<VertexId>(i)]);
    CHECK(node <= next);
    next = std::max(next, node + 1);
  }
  for (const LineElement& line : model.lines.span()) {
    const Point3 a = model.position[line.from];
    const Point3 b = model.position[line.to];
    CHECK(std::hypot(b.x - a.x, b.y - a.y, b.z - a.z) == Approx(line.length).epsilon(1e-9));
  }
}

TEST_CASE("the same layout gives the same bits", "[mesh]") {
  Layout layout = frame_of_one();
  layout.areas[0].holes = {CircleShape{{60 * mm, 3 * mm}, 4 * mm}};
  const Model a = build_model(layout, {});
  const std::vector<std::vector<char>> elsewhere(100, std::vector<char>(777));  // moves the heap
  const Model b = build_model(layout, {});
  CHECK(elsewhere.size() == 100);
  CHECK(same_mesh(a, b));
  layout.areas[0].holes.clear();
  CHECK_FALSE(same_mesh(a, build_model(layout, {})));
}

TEST_CASE("areas that overlap are named", "[mesh]") {
  Layout layout = fed_plate();
  layout.areas.push_back(rectangle("b", {25 * mm, 5 * mm}, {45 * mm, 15 * mm}, 1 * mm));
  CHECK_THAT(error_of(layout), Catch::Contains("part \"plate\" and part \"b\" overlap"));
  // One inside the other, with no crossing borders.
  layout.areas[1] = rectangle("b", {2 * mm, 2 * mm}, {6 * mm, 6 * mm}, 1 * mm);
  CHECK_THAT(error_of(layout), Catch::Contains("overlap"));
  // The same outline twice.
  layout.areas[1] = rectangle("b", {0, 0}, {30 * mm, 20 * mm}, 1 * mm);
  CHECK_THAT(error_of(layout), Catch::Contains("overlap"));
}

TEST_CASE("an area may fill the hole of another", "[mesh]") {
  Layout layout = fed_plate();
  layout.areas[0].holes = {CircleShape{{24 * mm, 10 * mm}, 6 * mm}};
  Area plug;
  plug.name = "plug";
  plug.outline = CircleShape{{24 * mm, 10 * mm}, 6 * mm};
  plug.thickness = 2 * mm;
  layout.areas.push_back(plug);
  const Model model = build_model(layout, {});
  CHECK(meshed_area(model, 0) + meshed_area(model, 1) == Approx(600e-6));
}

TEST_CASE("holes and steps must lie inside their part", "[mesh]") {
  for (const Point centre : {Point{30 * mm, 10 * mm}, Point{50 * mm, 10 * mm}}) {
    Layout layout = fed_plate();
    layout.areas[0].holes = {CircleShape{centre, 4 * mm}};
    CHECK_THAT(error_of(layout), Catch::Contains("part \"plate\", hole 1 reaches outside"));
    layout.areas[0].holes.clear();
    layout.areas[0].steps = {{CircleShape{centre, 4 * mm}, 2 * mm, ""}};
    CHECK_THAT(error_of(layout), Catch::Contains("part \"plate\", step 1 reaches outside"));
  }
}

TEST_CASE("a part without material is refused", "[mesh]") {
  Layout layout = fed_plate();
  layout.areas.push_back(rectangle("gone", {40 * mm, 0}, {50 * mm, 10 * mm}, 1 * mm));
  layout.areas[1].holes = {layout.areas[1].outline};
  CHECK_THAT(error_of(layout), Catch::Contains("part \"gone\": its holes leave nothing of it"));
}

TEST_CASE("a gate that touches nothing says how far the nearest outline is", "[mesh]") {
  Layout layout = frame_of_one();
  layout.gates[0].to.x = 41.5 * mm;
  CHECK_THAT(error_of(layout), Catch::Contains("gate \"g\" touches nothing at its end: the nearest "
                                               "outline is 0.5 mm away"));
  layout = frame_of_one();
  layout.gates[0].from = {40 * mm, 3 * mm};
  CHECK_THAT(error_of(layout), Catch::Contains("gate \"g\" starts on nothing: the nearest runner "
                                               "or rim is 3 mm away") ||
                                   Catch::Contains("starts on nothing"));
}

TEST_CASE("a part or runner that the melt cannot reach is named", "[mesh]") {
  Layout layout = frame_of_one();
  layout.areas.push_back(rectangle("lost", {80 * mm, 0}, {90 * mm, 10 * mm}, 1 * mm));
  layout.areas.back().origin = "layout.toml:12:1";
  CHECK_THAT(error_of(layout), Catch::StartsWith("layout.toml:12:1: part \"lost\" is not reached"));
  layout = frame_of_one();
  layout.runners.push_back(round_runner("stray", {{0, 30 * mm}, {10 * mm, 30 * mm}}, 4 * mm));
  CHECK_THAT(error_of(layout), Catch::Contains("runner \"stray\" is not reached"));
}

TEST_CASE("an inlet off the frame is refused", "[mesh]") {
  Layout layout = frame_of_one();
  layout.sprue->at = {0, 20 * mm};
  CHECK_THAT(error_of(layout), Catch::Contains("the sprue is off the frame: the nearest runner or "
                                               "rim is 20 mm away"));
  layout = fed_plate();
  layout.injection = {40 * mm, 10 * mm};
  CHECK_THAT(error_of(layout), Catch::Contains("the injection point is off the frame"));
  layout.areas[0].holes = {CircleShape{{24 * mm, 10 * mm}, 6 * mm}};
  layout.injection = {24 * mm, 10 * mm};
  CHECK_THAT(error_of(layout), Catch::Contains("the injection point is off the frame"));
  layout.injection_width = 5 * mm;
  CHECK_THAT(error_of(layout), Catch::Contains("on the rim of an area"));
}

TEST_CASE("options out of range are refused", "[mesh]") {
  const auto with = [](auto change) {
    MeshOptions options;
    change(options);
    return error_of(fed_plate(), options);
  };
  CHECK_THAT(with([](MeshOptions& o) { o.element_size = 0.0; }), Catch::Contains("element size"));
  CHECK_THAT(with([](MeshOptions& o) { o.element_size = 1e-7; }), Catch::Contains("20 million"));
  CHECK_THAT(with([](MeshOptions& o) { o.grading = -1.0; }), Catch::Contains("grading"));
  CHECK_THAT(with([](MeshOptions& o) { o.line_element_size = 0.0; }),
             Catch::Contains("line element"));
  CHECK_THAT(with([](MeshOptions& o) { o.across_gate = 0; }), Catch::Contains("from 1 to 1000"));
}
