#include <cmath>

#include <catch2/catch.hpp>

#include "io/dxf_reader.hpp"
#include "mesh/outline.hpp"
#include "mesh/plane.hpp"
#include "tests/io/dxf_samples.hpp"

using namespace firstshot;
using namespace firstshot::test;

namespace {

constexpr double kMm = 1e-3;
constexpr double kPi = std::numbers::pi;

DxfDrawing read(const std::string& text, const std::string& unit = "") {
  return read_dxf_text(text, "frame.dxf", unit);
}

const DrawnPath& only_path(const DxfDrawing& read) {
  REQUIRE(read.drawing.paths.size() == 1);
  return read.drawing.paths.front();
}

double area_of(const DrawnPath& path) {
  return std::abs(signed_area(closed_line(PolygonShape{path.corners}, ArcRule{}).points));
}

void check_at(Point p, double x_mm, double y_mm) {
  CHECK(p.x == Approx(x_mm * kMm).margin(1e-12));
  CHECK(p.y == Approx(y_mm * kMm).margin(1e-12));
}

// A closed half disc of radius 2 standing on (1, 0) … (5, 0), as a block with base point (1, 0).
const std::string kHalfDisc =
    dxf_entity("BLOCK", "0", {{2, "half"}, {70, "0"}, {10, "1"}, {20, "0"}}) +
    dxf_entity("LWPOLYLINE", "0",
               {{90, "2"}, {70, "1"}, {10, "1"}, {20, "0"}, {10, "5"}, {20, "0"}, {42, "1"}}) +
    dxf_entity("ENDBLK", "0", {});

DxfDrawing with_half_disc(std::initializer_list<std::pair<int, const char*>> pairs) {
  return read(dxf_file(dxf_entity("INSERT", "parts", pairs), kHalfDisc));
}

}  // namespace

TEST_CASE("a line is read with its layer, its line in the file and in metres", "[io][dxf]") {
  const DxfDrawing d = read(dxf_file(dxf_line("Parts", "1", "2.5", "-3", "4e1")));
  const DrawnPath& path = only_path(d);
  CHECK(path.layer == "Parts");
  CHECK(path.origin == "frame.dxf:16");
  CHECK_FALSE(path.closed);
  check_at(path.corners[0].at, 1, 2.5);
  check_at(path.corners[1].at, -3, 40);
  CHECK(d.unit == "mm");
  CHECK(d.layers == std::vector<std::string>{"Parts"});
}

TEST_CASE("the unit comes from the header unless it is given", "[io][dxf]") {
  const std::string line = dxf_line("a", "0", "0", "1", "0");
  CHECK(only_path(read(dxf_file(line, "", 1))).corners[1].at.x == Approx(25.4 * kMm));
  CHECK(only_path(read(dxf_file(line, "", 5))).corners[1].at.x == Approx(10 * kMm));
  CHECK(only_path(read(dxf_file(line, "", 0), "cm")).corners[1].at.x == Approx(10 * kMm));
  const DxfDrawing both = read(dxf_file(line, "", 1), "mm");
  CHECK(only_path(both).corners[1].at.x == Approx(1 * kMm));
  REQUIRE(both.notes.size() == 1);
  CHECK_THAT(both.notes[0], Catch::Contains("says in, geometry.unit says mm"));
  CHECK_THROWS_WITH(read(dxf_file(line, "", 0)), Catch::Contains("give geometry.unit"));
  CHECK_THROWS_WITH(read(dxf_file(line, "", 2)), Catch::Contains("unit of code 2"));
}

TEST_CASE("arcs stay arcs, however long, and full circles stay circles", "[io][dxf]") {
  const DxfDrawing arc = read(
      dxf_file(dxf_entity("ARC", "a", {{10, "1"}, {20, "2"}, {40, "3"}, {50, "350"}, {51, "80"}})));
  const DrawnPath& path = only_path(arc);
  REQUIRE(path.corners.size() == 3);
  check_at(path.corners[0].at, 1 + 3 * std::cos(-kPi / 18), 2 + 3 * std::sin(-kPi / 18));
  check_at(path.corners[2].at, 1 + 3 * std::cos(kPi * 80 / 180), 2 + 3 * std::sin(kPi * 80 / 180));
  CHECK(path.corners[0].bulge == Approx(std::tan(45.0 / 4 * kPi / 180)));
  const DxfDrawing circle =
      read(dxf_file(dxf_entity("CIRCLE", "a", {{10, "1"}, {20, "2"}, {40, "3"}})));
  REQUIRE(circle.drawing.circles.size() == 1);
  CHECK(circle.drawing.circles[0].circle.diameter == Approx(6 * kMm));
  check_at(circle.drawing.circles[0].circle.centre, 1, 2);
}

TEST_CASE("both kinds of polylines give the same corners and bulges", "[io][dxf]") {
  const DxfDrawing light = read(dxf_file(dxf_entity("LWPOLYLINE", "a",
                                                    {{90, "3"},
                                                     {70, "1"},
                                                     {10, "0"},
                                                     {20, "0"},
                                                     {42, "0.5"},
                                                     {10, "4"},
                                                     {20, "0"},
                                                     {10, "4"},
                                                     {20, "3"}})));
  const DxfDrawing old = read(
      dxf_file(dxf_entity("POLYLINE", "a", {{66, "1"}, {70, "1"}, {10, "0"}, {20, "0"}}) +
               dxf_entity("VERTEX", "a", {{10, "0"}, {20, "0"}, {42, "0.5"}}) +
               dxf_entity("VERTEX", "a", {{10, "4"}, {20, "0"}}) +
               dxf_entity("VERTEX", "a", {{10, "4"}, {20, "3"}}) + dxf_entity("SEQEND", "a", {})));
  for (const DxfDrawing* d : {&light, &old}) {
    const DrawnPath& path = only_path(*d);
    CHECK(path.closed);
    REQUIRE(path.corners.size() == 3);
    CHECK(path.corners[0].bulge == 0.5);
    CHECK(path.corners[1].bulge == 0.0);
    check_at(path.corners[2].at, 4, 3);
  }
}

TEST_CASE("a wrong number of vertices in the file does no harm", "[io][dxf]") {
  for (const char* number : {"1", "2000000000", "-7"}) {
    const DxfDrawing d = read(dxf_file(dxf_entity(
        "LWPOLYLINE", "a",
        {{90, number}, {10, "0"}, {20, "0"}, {10, "4"}, {20, "0"}, {10, "4"}, {20, "3"}})));
    CHECK(only_path(d).corners.size() == 3);
  }
}

TEST_CASE("a spline becomes straight sides within a hundredth of a millimetre", "[io][dxf]") {
  // A quarter of a circle of radius 10 as a rational curve of degree 2, exact.
  const DxfDrawing d = read(dxf_file(dxf_entity("SPLINE", "a",
                                                {{70, "8"},
                                                 {71, "2"},
                                                 {72, "6"},
                                                 {73, "3"},
                                                 {74, "0"},
                                                 {40, "0"},
                                                 {40, "0"},
                                                 {40, "0"},
                                                 {40, "1"},
                                                 {40, "1"},
                                                 {40, "1"},
                                                 {41, "1"},
                                                 {41, "0.70710678118654752"},
                                                 {41, "1"},
                                                 {10, "10"},
                                                 {20, "0"},
                                                 {30, "0"},
                                                 {10, "10"},
                                                 {20, "10"},
                                                 {30, "0"},
                                                 {10, "0"},
                                                 {20, "10"},
                                                 {30, "0"}})));
  const DrawnPath& path = only_path(d);
  CHECK(path.corners.size() > 8);
  CHECK(path.corners.size() < 40);
  for (std::size_t i = 0; i < path.corners.size(); ++i) {
    CHECK(norm(path.corners[i].at) == Approx(10 * kMm).epsilon(1e-12));
    if (i == 0) continue;
    const Point middle = between(path.corners[i - 1].at, path.corners[i].at, 0.5);
    CHECK(norm(middle) > 10 * kMm - 0.01 * kMm);
  }
  check_at(path.corners.front().at, 10, 0);
  check_at(path.corners.back().at, 0, 10);
}

TEST_CASE("half an ellipse encloses half of its area with the chord", "[io][dxf]") {
  const DxfDrawing d = read(dxf_file(dxf_entity("ELLIPSE", "a",
                                                {{10, "0"},
                                                 {20, "0"},
                                                 {11, "8"},
                                                 {21, "0"},
                                                 {40, "0.5"},
                                                 {41, "0"},
                                                 {42, "3.14159265358979312"}})));
  const DrawnPath& path = only_path(d);
  CHECK_FALSE(path.closed);
  CHECK(area_of(path) == Approx(kPi * 8 * 4 / 2 * kMm * kMm).epsilon(2e-3));
}

TEST_CASE("an inserted block is scaled, turned and moved from its base point", "[io][dxf]") {
  const DxfDrawing d =
      with_half_disc({{2, "half"}, {10, "10"}, {20, "20"}, {41, "2"}, {42, "2"}, {50, "90"}});
  const DrawnPath& path = only_path(d);
  CHECK(path.layer == "parts");  // layer 0 of a block is that of its insert
  check_at(path.corners[0].at, 10, 20);
  check_at(path.corners[1].at, 10, 28);
  CHECK(path.corners[1].bulge == 1.0);
  CHECK(area_of(path) == Approx(kPi * 16 / 2 * kMm * kMm));
}

TEST_CASE("a mirrored block bends its arcs the other way", "[io][dxf]") {
  const DrawnPath path =
      only_path(with_half_disc({{2, "half"}, {10, "0"}, {20, "0"}, {41, "-1"}, {42, "1"}}));
  check_at(path.corners[1].at, -4, 0);
  CHECK(path.corners[1].bulge == -1.0);
  CHECK(contains(closed_line(PolygonShape{path.corners}, ArcRule{}).points, {-2 * kMm, 1 * kMm}));
  // The other way to say it: seen from below.
  const DrawnPath below = only_path(
      with_half_disc({{2, "half"}, {10, "0"}, {20, "0"}, {210, "0"}, {220, "0"}, {230, "-1"}}));
  check_at(below.corners[1].at, -4, 0);
  CHECK(below.corners[1].bulge == -1.0);
}

TEST_CASE("an unevenly scaled arc becomes an ellipse of straight sides", "[io][dxf]") {
  const DxfDrawing d = with_half_disc({{2, "half"}, {10, "0"}, {20, "0"}, {41, "1"}, {42, "3"}});
  const DrawnPath& path = only_path(d);
  CHECK(path.corners.size() > 10);
  CHECK(area_of(path) == Approx(kPi * 2 * 6 / 2 * kMm * kMm).epsilon(3e-3));
}

TEST_CASE("blocks lie in blocks and in rows and columns", "[io][dxf]") {
  const std::string blocks =
      kHalfDisc + dxf_entity("BLOCK", "0", {{2, "pair"}, {70, "0"}, {10, "0"}, {20, "0"}}) +
      dxf_entity("INSERT", "0", {{2, "half"}, {10, "1"}, {20, "0"}}) +
      dxf_entity("INSERT", "b", {{2, "half"}, {10, "1"}, {20, "50"}}) +
      dxf_entity("ENDBLK", "0", {});
  const DxfDrawing d = read(dxf_file(
      dxf_entity(
          "INSERT", "a",
          {{2, "pair"}, {10, "0"}, {20, "0"}, {70, "3"}, {71, "2"}, {44, "10"}, {45, "100"}}),
      blocks));
  REQUIRE(d.drawing.paths.size() == 12);
  CHECK(d.layers == std::vector<std::string>{"a", "b"});
  check_at(d.drawing.paths.back().corners[0].at, 21, 150);
}

TEST_CASE("what draws no outline is counted, what has no length is left out", "[io][dxf]") {
  const DxfDrawing d = read(
      dxf_file(dxf_line("a", "0", "0", "1", "0") + dxf_line("a", "1", "1", "1", "1") +
               dxf_entity("TEXT", "b", {{10, "0"}, {20, "0"}, {1, "hello"}}) +
               dxf_entity("LINE", "c", {{67, "1"}, {10, "0"}, {20, "0"}, {11, "1"}, {21, "1"}})));
  CHECK(d.drawing.paths.size() == 1);
  CHECK(d.layers.size() == 1);
  REQUIRE(d.notes.size() == 2);
  CHECK_THAT(d.notes[0], Catch::Contains("1 TEXT"));
  CHECK_THAT(d.notes[1], Catch::Contains("1 line without length, the first in line 28"));
}

TEST_CASE("broken files are refused with the line and what is wrong", "[io][dxf]") {
  const std::string line = dxf_line("a", "0", "0", "1", "0");
  const std::string good = dxf_file(line);
  const auto refused = [](const std::string& text, const std::string& says) {
    CHECK_THROWS_WITH(read(text), Catch::Contains("frame.dxf") && Catch::Contains(says));
  };
  refused("", "empty");
  refused("AutoCAD Binary DXF\r\n\x1a", "binary");
  refused(good.substr(0, good.size() / 2), "cut off");
  refused(good.substr(0, good.size() - 6), "EOF");
  refused("solid frame\nfacet normal 0 0 1\n", "frame.dxf:1: \"solid frame\"");
  refused(dxf_file(""), "nothing is drawn");
  refused("0\nSECTION\n2\nHEADER\n0\nENDSEC\n0\nEOF\n", "no section of entities");
  refused(dxf_file(dxf_line("a", "nan", "0", "1", "0")), "frame.dxf:20: \"nan\" in LINE");
  refused(dxf_file(dxf_line("a", "0", "inf", "1", "0")), "not a finite number");
  refused(dxf_file(dxf_line("a", "0", "1e999", "1", "0")), "not a finite number");
  refused(dxf_file(dxf_line("a", "0", "1,5", "1", "0")), "not a finite number");
  refused(dxf_file(dxf_line("a", "0", "0", "1e9", "0")), "is the unit right?");
  refused(dxf_file(dxf_entity("CIRCLE", "a", {{10, "0"}, {20, "0"}, {40, "-1"}})), "radius");
  refused(dxf_file(dxf_entity("CIRCLE", "a", {{10, "0"}, {40, "1"}, {210, "1"}, {230, "0"}})),
          "x-y plane");
  refused(dxf_file(dxf_entity("INSERT", "a", {{2, "nothing"}})), "no block \"nothing\"");
  refused(dxf_file(dxf_entity("SPLINE", "a", {{71, "3"}, {11, "0"}, {21, "0"}})),
          "no control points");
}

TEST_CASE("blocks that contain themselves are refused", "[io][dxf]") {
  const auto block = [](const std::string& name, const char* of) {
    return dxf_entity("BLOCK", "0", {{2, name.c_str()}}) + dxf_entity("INSERT", "0", {{2, of}}) +
           dxf_entity("ENDBLK", "0", {});
  };
  CHECK_THROWS_WITH(
      read(dxf_file(dxf_entity("INSERT", "a", {{2, "x"}}), block("x", "y") + block("y", "x"))),
      Catch::Contains("\"x\" contains itself"));
  // Each block holds 100 copies of the next: a small file, a huge drawing.
  std::string bomb;
  for (const char* name : {"0", "1", "2", "3"}) {
    const std::string next(1, static_cast<char>(name[0] + 1));
    bomb += dxf_entity("BLOCK", "0", {{2, name}}) +
            dxf_entity("INSERT", "0", {{2, next.c_str()}, {70, "10"}, {71, "10"}}) +
            dxf_entity("ENDBLK", "0", {});
  }
  bomb += dxf_entity("BLOCK", "0", {{2, "4"}}) + dxf_entity("ENDBLK", "0", {});
  CHECK_THROWS_WITH(read(dxf_file(dxf_entity("INSERT", "a", {{2, "0"}}), bomb)),
                    Catch::Contains("copies"));
}
