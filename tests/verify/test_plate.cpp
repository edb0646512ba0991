// The pressure field of the solver on real meshes: against an independent finite-element library,
// and under refinement where a channel joins triangles.
#include <algorithm>
#include <cmath>
#include <fstream>
#include <iostream>
#include <numbers>
#include <sstream>

#include <catch2/catch.hpp>

#include "mesh/build_model.hpp"
#include "tests/verify/sample_models.hpp"
#include "tests/verify/steady_flow.hpp"

using namespace firstshot;

namespace {

constexpr double mm = 1e-3;
constexpr double melt = 493.15;

PolygonShape polygon(const std::vector<Point>& corners_mm) {
  PolygonShape p;
  for (const Point& c : corners_mm) p.corners.push_back({{c.x * mm, c.y * mm}, 0.0});
  return p;
}

/// The plate of tests/verify/reference/README.md.
Layout reference_plate() {
  Area plate;
  plate.name = "plate";
  plate.outline =
      polygon({{0, 0}, {60, 0}, {60, 20}, {40, 30}, {40, 45}, {10, 45}, {10, 35}, {0, 30}});
  plate.thickness = 1.2 * mm;
  plate.holes = {CircleShape{{25 * mm, 22 * mm}, 10 * mm}};
  plate.steps = {{RectangleShape{{48 * mm, 10 * mm}, 12 * mm, 12 * mm}, 2.0 * mm, ""},
                 {polygon({{14, 30}, {34, 30}, {30, 40}, {16, 38}}), 0.8 * mm, ""}};
  Layout layout;
  layout.areas = {plate};
  layout.injection = {8 * mm, 10 * mm};
  layout.injection_diameter = 4 * mm;
  return layout;
}

struct Probe {
  Point at;               // [mm]
  double pressure = 0.0;  // [MPa]
};

std::vector<Probe> read_probes(const std::string& name) {
  std::ifstream file(std::string(FIRSTSHOT_SOURCE_DIR) + "/tests/verify/reference/" + name);
  REQUIRE(file);
  std::string line;
  std::getline(file, line);  // head
  std::vector<Probe> probes;
  while (std::getline(file, line)) {
    std::replace(line.begin(), line.end(), ',', ' ');
    std::istringstream in(line);
    Probe p;
    if (in >> p.at.x >> p.at.y >> p.pressure) probes.push_back(p);
  }
  return probes;
}

/// Pressure [Pa] at a place, linear in the triangle that holds it.
double pressure_at(const Model& model, const std::vector<double>& pressure, const Point& at) {
  for (const Triangle& t : model.mesh.triangles.span()) {
    const Point& a = model.mesh.points[t[0]];
    const Point& b = model.mesh.points[t[1]];
    const Point& c = model.mesh.points[t[2]];
    const double whole = (b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y);
    const double v = ((at.x - a.x) * (c.y - a.y) - (c.x - a.x) * (at.y - a.y)) / whole;
    const double w = ((b.x - a.x) * (at.y - a.y) - (at.x - a.x) * (b.y - a.y)) / whole;
    if (v < -1e-9 || w < -1e-9 || v + w > 1.0 + 1e-9) continue;
    const auto p = [&](int k) { return pressure[index(model.node_of_vertex[t[k]])]; };
    return (1.0 - v - w) * p(0) + v * p(1) + w * p(2);
  }
  return std::nan("");
}

}  // namespace

TEST_CASE("an irregular plate has the pressures of an independent finite-element library",
          "[verify][analytic]") {
  // FreeFEM, quadratic elements, converged to 0.01 %: tests/verify/reference.
  struct Melt {
    const char* file;
    ViscosityLaw law;
  };
  const Melt melts[] = {{"plate_newtonian.csv", Newtonian{100.0, 0.0, melt}},
                        {"plate_power_law.csv", PowerLaw{1e4, 0.5, 0.0, melt}}};
  MeshOptions options;
  options.element_size = 0.7 * mm;
  Model model = build_model(reference_plate(), options);
  model.open_sides.clear();  // the reference has no drag of side walls
  for (const MeshEdge& e : mesh_edges(model.mesh))
    if (static_cast<int>(e.right) < 0) model.open_sides.push_back({e.a, e.b});
  std::vector<std::size_t> outlet;
  for (std::size_t i = 0; i < model.n_nodes(); ++i)
    if (model.position.vector()[i].y > 45 * mm - 1e-9) outlet.push_back(i);
  for (const Melt& m : melts) {
    Setup setup = sample::isothermal_fill(model, m.law, 1e-5, 10);
    setup.process.melt_temperature = melt;
    const auto flow = sample::steady_flow(setup, 1e-5, outlet);
    const auto probes = read_probes(m.file);
    REQUIRE(probes.size() == 21);
    const double inlet = probes.front().pressure;
    double largest = 0.0;
    for (std::size_t k = 0; k < probes.size(); ++k) {
      const double p =
          k == 0 ? flow.pressure[index(model.injection)]
                 : pressure_at(model, flow.pressure, {probes[k].at.x * mm, probes[k].at.y * mm});
      largest = std::max(largest, std::abs(p / 1e6 - probes[k].pressure) / inlet);
    }
    std::cout << m.file << ": " << model.n_nodes() << " nodes, largest difference "
              << 100.0 * largest << " % of the inlet pressure\n";
    CHECK(largest < 0.01);
  }
}

TEST_CASE("the pressure at a gate's mouth converges under refinement", "[verify][order]") {
  // At a point source on a rim the pressure would rise by 12 μ Q ln 2/(π h³) per halving, without
  // end.
  const auto inlet_pressure = [](double element) {
    Area plate;
    plate.name = "plate";
    plate.outline = RectangleShape{{30 * mm, 0.0}, 40 * mm, 30 * mm, 0.0, 0.0};
    plate.thickness = 1.5 * mm;
    Layout layout;
    layout.areas = {plate};
    layout.runners = {
        {"feed", {{0, 0}, {9 * mm, 0}}, RoundSection{4 * mm}, RoundSection{4 * mm}, ""}};
    layout.gates = {{"gate", {9 * mm, 0}, {10 * mm, 0}, 1.2 * mm, 0.8 * mm, ""}};
    layout.injection = {0, 0};
    MeshOptions options;
    options.element_size = element;
    options.across_gate = static_cast<int>(std::lround(4.8 * mm / element));
    const Model model = build_model(layout, options);
    std::vector<std::size_t> outlet;
    for (std::size_t i = 0; i < model.n_nodes(); ++i)
      if (model.position.vector()[i].x > 50 * mm - 1e-9) outlet.push_back(i);
    Setup setup = sample::isothermal_fill(model, Newtonian{100.0, 0.0, melt}, 1e-6, 10);
    setup.process.melt_temperature = melt;
    double last_line = 0.0;
    const auto flow = sample::steady_flow(setup, 1e-6, outlet);
    for (const LineElement& line : model.lines.span())  // the mouth: the last end of a gate
      if (model.channels[line.channel].role == Role::gate)
        last_line = flow.pressure[index(line.to)];
    return last_line;
  };
  const double coarse = inlet_pressure(1.2 * mm);
  const double middle = inlet_pressure(0.6 * mm);
  const double fine = inlet_pressure(0.3 * mm);
  std::cout << "gate mouth, elements of 1.2, 0.6, 0.3 mm: " << coarse / 1e6 << ", " << middle / 1e6
            << ", " << fine / 1e6 << " MPa\n";
  const double h = 1.5 * mm;
  const double point_rise = 12.0 * 100.0 * 1e-6 * std::log(2.0) / (std::numbers::pi * h * h * h);
  CHECK(std::abs(middle - coarse) < 0.15 * point_rise);
  CHECK(std::abs(fine - middle) < std::abs(middle - coarse));
  CHECK(fine == Approx(middle).epsilon(0.01));
}
