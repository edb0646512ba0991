#include <cmath>
#include <limits>
#include <numbers>

#include <catch2/catch.hpp>

#include "bodies.hpp"
#include "mesh/error.hpp"
#include "mesh/solid/check_shell.hpp"

using namespace firstshot;
using namespace firstshot::test;

namespace {

constexpr double mm = 1e-3, mm2 = 1e-6, mm3 = 1e-9;

const Shell& plate() {
  static const Shell shell = box({0, 0, 0}, {40 * mm, 20 * mm, 2 * mm});
  return shell;
}

/// Every triangle with three points of its own, as an STL file gives them.
Shell soup(const Shell& shell) {
  Shell out;
  for (const auto& t : shell.triangles) {
    const auto n = static_cast<std::int32_t>(out.points.size());
    for (const std::int32_t c : t) out.points.push_back(shell.points[c]);
    out.triangles.push_back({n, n + 1, n + 2});
  }
  return out;
}

}  // namespace

TEST_CASE("A box has the volume and the surface of a box") {
  ShellFindings found;
  check_shell(plate(), &found);
  CHECK(found.volume == Approx(1600 * mm3).epsilon(1e-12));
  CHECK(found.surface == Approx((2 * 800 + 2 * 80 + 2 * 40) * mm2).epsilon(1e-12));
  CHECK(found.shells == 1);
  CHECK(found.turned_shells == 0);
}

TEST_CASE("A frustum and a half sphere of many sides come near their closed forms") {
  ShellFindings found;
  check_shell(turned({0, 0}, {{5 * mm, 0}, {3 * mm, 10 * mm}}, 720), &found);
  const double frustum = std::numbers::pi * 10 / 3 * (25 + 15 + 9) * mm3;
  CHECK(found.volume == Approx(frustum).epsilon(1e-4));  // 720 sides lose (2π/720)²/6 = 1.3e-5
  std::vector<Ring> rings;
  for (int k = 0; k < 90; ++k) {
    const double a = k * std::numbers::pi / 180;
    rings.push_back({5 * mm * std::cos(a), 5 * mm * std::sin(a)});
  }
  check_shell(turned({0, 0}, rings, 360), &found);
  CHECK(found.volume == Approx(2.0 / 3 * std::numbers::pi * 125 * mm3).epsilon(5e-4));
}

TEST_CASE("Points of a triangle soup are joined, also when rounded to single precision") {
  Shell loose = soup(plate());
  for (std::size_t i = 0; i < loose.points.size(); ++i)
    loose.points[i].x += (i % 2 == 0 ? 1 : -1) * 1e-9;
  ShellFindings found;
  const Shell shell = check_shell(loose, &found);
  CHECK(shell.points.size() == 8);
  CHECK(found.merged_points == 28);
}

TEST_CASE("A shell that is inside out is turned") {
  ShellFindings found;
  check_shell(inside_out(plate()), &found);
  CHECK(found.turned_shells == 1);
  CHECK(found.volume == Approx(1600 * mm3));
}

TEST_CASE("Single triangles that face the wrong way are turned to agree with the others") {
  Shell shell = plate();
  std::swap(shell.triangles[3][0], shell.triangles[3][1]);
  ShellFindings found;
  check_shell(shell, &found);
  CHECK(found.turned_triangles == 1);
  CHECK(found.volume == Approx(1600 * mm3));
}

TEST_CASE("A void keeps its skin inside out and counts off") {
  const Shell hollow = box({10 * mm, 5 * mm, 0.5 * mm}, {20 * mm, 10 * mm, 1.5 * mm});
  ShellFindings found;
  check_shell(together(plate(), inside_out(hollow)), &found);
  CHECK(found.shells == 2);
  CHECK(found.turned_shells == 0);
  CHECK(found.volume == Approx(1550 * mm3));
}

TEST_CASE("An inside-out body beside another one is no void") {
  const Shell other = box({50 * mm, 0, 0}, {60 * mm, 10 * mm, 1 * mm});
  ShellFindings found;
  check_shell(together(plate(), inside_out(other)), &found);
  CHECK(found.turned_shells == 1);
  CHECK(found.volume == Approx(1700 * mm3));
}

TEST_CASE("A missing triangle is a hole with its place and size") {
  Shell shell = plate();
  shell.triangles.pop_back();
  ShellFindings found;
  try {
    check_shell(shell, &found);
    FAIL("an open solid must be refused");
  } catch (const GeometryError& error) {
    CHECK(std::string(error.what()).find("open") != std::string::npos);
    CHECK(error.y() == Approx(20 * mm));  // the far end of the box
  }
  REQUIRE(found.holes.size() == 1);
  CHECK(found.holes[0].edges == 3);
  CHECK(found.holes[0].size == Approx(std::hypot(40, 2) * mm));
}

TEST_CASE("Doubled and empty triangles are dropped") {
  Shell shell = plate();
  for (int k = 0; k < 1000; ++k) shell.triangles.push_back(shell.triangles[5]);
  shell.triangles.push_back({1, 1, 2});
  ShellFindings found;
  const Shell good = check_shell(shell, &found);
  CHECK(found.double_triangles == 1000);
  CHECK(found.empty_triangles == 1);
  CHECK(good.triangles.size() == 12);
}

TEST_CASE("A face folded onto itself stays one face") {
  // Where points of slivers are joined, a surface may run forth, back and forth over one triangle.
  Shell folded = plate();
  const auto face = folded.triangles[4];
  folded.triangles.push_back({face[0], face[2], face[1]});
  folded.triangles.push_back(face);
  ShellFindings found;
  CHECK(check_shell(folded, &found).triangles.size() == 12);
  CHECK(found.double_triangles == 2);
}

TEST_CASE("Two boxes that touch along an edge are closed") {
  const Shell other = box({40 * mm, 0, 2 * mm}, {50 * mm, 20 * mm, 4 * mm});
  ShellFindings found;
  check_shell(together(plate(), other), &found);
  CHECK(found.touching_edges == 1);
}

TEST_CASE("Numbers that are not finite and corners that are not there are refused") {
  Shell shell = plate();
  shell.points[3].y = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_AS(check_shell(shell), Error);
  shell = plate();
  shell.triangles[0][1] = 99;
  CHECK_THROWS_AS(check_shell(shell), Error);
  CHECK_THROWS_AS(check_shell(Shell{}), Error);
}

TEST_CASE("Bodies that have a face in common are their union, whichever way round they come") {
  const Shell a = box({0, 0, 0}, {4 * mm, 4 * mm, 2 * mm});
  const Shell b = box({4 * mm, 0, 0}, {9 * mm, 4 * mm, 2 * mm});
  for (const bool turned : {false, true}) {
    ShellFindings found;
    check_shell(together(a, turned ? inside_out(b) : b), &found);
    INFO("inside out: " << turned);
    CHECK(found.holes.empty());
    CHECK(found.volume == Approx(72 * mm3));
  }
  // A part of a face in common.
  ShellFindings found;
  check_shell(together(a, box({4 * mm, 1 * mm, 0}, {9 * mm, 3 * mm, 2 * mm})), &found);
  CHECK(found.volume == Approx(52 * mm3));
}
